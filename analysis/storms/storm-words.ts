// Depths and flows of storms in words: in the site's units, or in both where none are asked for.

import { fromSi } from "../units/unit.ts";
import { words } from "../units/words.ts";

export interface StormWords {
  depth(depth_m: number): string;
  flow(flow_m3s: number): string;
}

export function stormWords(displayUnits: "us" | "metric" | null): StormWords {
  if (displayUnits !== null) return words(displayUnits);
  return {
    depth: (depth_m) => `${fromSi(depth_m, "mm").toFixed(0)} mm (${fromSi(depth_m, "in").toFixed(1)} in)`,
    flow: (flow_m3s) => `${fromSi(flow_m3s, "L/min").toFixed(1)} L/min (${fromSi(flow_m3s, "gpm").toFixed(1)} gpm)`,
  };
}
