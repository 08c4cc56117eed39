// What comes in when no storm does: the base that a storm of the tables would come on top of.

import type { StormsFound } from "./find-storms.ts";

/** The middle one of what came in before storms; its uncertainty is how much that differs from storm to storm. */
export function calmBase({ storms, course }: StormsFound): { inflow_m3s: number; uInflow_m3s: number } {
  const before = storms.map(({ calm_m3s }) => calm_m3s);
  const all = before.length > 0 ? before : [...(course?.value ?? [])].filter((flow) => flow >= 0);
  const sorted = all.sort((a, b) => a - b);
  const inflow_m3s = sorted[sorted.length >> 1] ?? 0;
  const offs = sorted.map((flow) => Math.abs(flow - inflow_m3s)).sort((a, b) => a - b);
  return { inflow_m3s, uInflow_m3s: Math.max(0.1 * inflow_m3s, 1.48 * (offs[offs.length >> 1] ?? 0)) };
}
