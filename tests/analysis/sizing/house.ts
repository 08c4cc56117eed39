// The example house of the file contract, as a site, with what a test wants changed; and units by their trade names.

import type { Site } from "../../../analysis/site.ts";
import { toSi } from "../../../analysis/units/unit.ts";

export const inch = 0.0254;
export const foot = 0.3048;
export const gpm = (value: number) => toSi(value, "gpm");

export const house: Site = {
  name: "Example house",
  timezone: "America/Toronto",
  displayUnits: "us",
  basin: {
    geometry: { shape: "round", diameter_m: 18 * inch, occupiedArea_m2: 0 },
    depth_m: 30 * inch,
    startLevel_m: 14 * inch,
    stopLevel_m: 6 * inch,
    highLevel_m: 20 * inch,
    overflowLevel_m: 30 * inch,
  },
  pump: {
    curve: [
      { flow_m3s: 0, head_m: 25 * foot },
      { flow_m3s: gpm(20), head_m: 20 * foot },
      { flow_m3s: gpm(40), head_m: 11 * foot },
      { flow_m3s: gpm(52), head_m: 0 },
    ],
    maxStartsPerHour: 20,
    minRun_s: 8,
  },
  discharge: {
    highPoint_m: 10 * foot,
    pipe: { material: "pvc-40", nominal_m: 1.5 * inch, insideDiameter_m: null, length_m: 22 * foot },
    fittings: [
      { kind: "elbow-90", count: 3 },
      { kind: "check-valve-swing", count: 1 },
    ],
  },
  design: { inflowFactor: 1.5 },
};

/** Of so many inches in a minute, three times over. */
export function handTestOf(inches: number) {
  const rise = { rise_m: inches * inch, watched_s: 60, from_m: null };
  return { rises: [rise, rise, rise], uRuler_m: null, uWatch_s: null, wanted: null };
}
