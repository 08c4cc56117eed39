// How the rain of a design storm is spread over its time, by the names that the rainfall tables use.

import type { RainDistribution } from "../storms/design-storm-site.ts";

export const rainSpreads: Readonly<Record<RainDistribution, string>> = {
  "nrcs-type-1": "NRCS type I",
  "nrcs-type-1a": "NRCS type IA",
  "nrcs-type-2": "NRCS type II",
  "nrcs-type-3": "NRCS type III",
  uniform: "evenly spread",
  balanced: "balanced, heaviest in the middle",
};

/** @param distribution as the sizing answer has it */
export function rainSpread(distribution: string): string {
  const names: Readonly<Record<string, string>> = rainSpreads;
  return names[distribution] ?? distribution;
}
