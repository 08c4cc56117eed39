// Sizes that are possible and yet far from what a basement has: most often a unit that was meant otherwise. Nothing is
// refused for it.

import { pumpCurve } from "../../analysis/hydraulics/pump-curve.ts";
import type { BasinShape, PumpSite, Site } from "../../analysis/site.ts";
import { type InWords, inWords } from "./in-words.ts";

/** Bounds between which next to every house's basin lies; common practice, no source. */
const usual = {
  across_m: [0.2, 2.5],
  level_m: [0.02, 4],
  between_m: [0.02, 1.5],
  flow_m3s: [0.2e-3, 30e-3],
  head_m: [1, 40],
  rise_m: [0.5, 20],
  pipe_m: [1, 200],
} as const;

type Size = readonly [key: string, value: number | null, within: readonly [number, number], words: InWords];

/** A sentence for each. */
export function unusualSizes(site: Site): string[] {
  const { level, flow, head } = inWords(site.displayUnits);
  const { basin, discharge, pump, pumps = pump === null ? [] : [pump] } = site;
  const sizes: Size[] = [
    ...across(basin.geometry).map(([key, value_m]): Size => [`basin.${key}`, value_m, usual.across_m, level]),
    ["basin.depth", basin.depth_m, usual.level_m, level],
    ["basin.start_level", basin.startLevel_m, usual.level_m, level],
    ["basin.high_level", basin.highLevel_m, usual.level_m, level],
    ["basin.overflow_level", basin.overflowLevel_m, usual.level_m, level],
    [
      "the way from basin.stop_level to basin.start_level",
      between(basin.stopLevel_m, basin.startLevel_m),
      usual.between_m,
      level,
    ],
    ...pumps.flatMap((each, index) => ofCurve(each, pumps.length === 1 ? "pump" : `pumps[${index}]`, flow, head)),
    ["discharge.high_point", discharge?.highPoint_m ?? null, usual.rise_m, head],
    ["the length of discharge.pipe", discharge?.pipe.length_m ?? null, usual.pipe_m, head],
  ];
  return sizes.flatMap(([key, value, [least, most], words]) =>
    value === null || (value >= least && value <= most)
      ? []
      : [
          `${capital(key)}: ${words(value)} is ${value < least ? "little" : "much"} for a house's basin. Is the unit right?`,
        ],
  );
}

function across(shape: BasinShape): [string, number][] {
  if (shape.shape === "round") return [["diameter", shape.diameter_m]];
  if (shape.shape === "table") return [];
  return [
    ["width", shape.width_m],
    ["length", shape.length_m],
  ];
}

function ofCurve({ curve }: PumpSite, key: string, flow: InWords, head: InWords): Size[] {
  if (curve === null) return [];
  const { shutOffHead_m, maximumFlow_m3s } = pumpCurve(curve);
  return [
    [`the most of ${key}.curve`, maximumFlow_m3s, usual.flow_m3s, flow],
    [`the highest head of ${key}.curve`, shutOffHead_m, usual.head_m, head],
  ];
}

function between(low_m: number | null, high_m: number | null): number | null {
  return low_m === null || high_m === null ? null : high_m - low_m;
}

function capital(key: string): string {
  return key.startsWith("the ") ? `T${key.slice(1)}` : key;
}
