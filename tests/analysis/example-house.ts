// The example of the file contract, in SI: an 18 in basin, a 1-1/2 in discharge, a curve from 25 ft at rest to 52 gpm at no
// head.

import type { Site } from "../../analysis/site.ts";

export const gpm = 3.785411784 / 60_000;
export const ft = 0.3048;

export const exampleHouse: Site = {
  name: "Example house",
  timezone: "America/Toronto",
  displayUnits: "us",
  basin: {
    geometry: { shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0.005 },
    depth_m: 0.762,
    startLevel_m: 0.3556,
    stopLevel_m: 0.1524,
    highLevel_m: 0.508,
    overflowLevel_m: 0.762,
  },
  pump: {
    curve: [
      { flow_m3s: 0, head_m: 25 * ft },
      { flow_m3s: 20 * gpm, head_m: 20 * ft },
      { flow_m3s: 40 * gpm, head_m: 11 * ft },
      { flow_m3s: 52 * gpm, head_m: 0 },
    ],
    maxStartsPerHour: 20,
    minRun_s: 8,
  },
  discharge: {
    highPoint_m: 10 * ft,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 22 * ft },
    fittings: [
      { kind: "elbow-90", count: 3 },
      { kind: "check-valve-swing", count: 1 },
    ],
  },
  design: { inflowFactor: 1.5 },
};
