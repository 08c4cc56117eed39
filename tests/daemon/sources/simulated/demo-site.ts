// The demo's house as the site file gives it, in SI, for the tests of the simulation.

import type { Site } from "../../../../analysis/site.ts";

const inch = 0.0254;
const foot = 0.3048;
const gpm = (231 * inch ** 3) / 60;

export const demoSite: Site = {
  name: "Demo house (simulated)",
  timezone: "America/Toronto",
  displayUnits: "us",
  basin: {
    geometry: { shape: "round", diameter_m: 18 * inch, occupiedArea_m2: 0.005 },
    depth_m: 30 * inch,
    startLevel_m: 14 * inch,
    stopLevel_m: 6 * inch,
    highLevel_m: 20 * inch,
    overflowLevel_m: 30 * inch,
  },
  pump: {
    curve: [
      { flow_m3s: 0, head_m: 24 * foot },
      { flow_m3s: 10 * gpm, head_m: 20.5 * foot },
      { flow_m3s: 20 * gpm, head_m: 14 * foot },
      { flow_m3s: 28 * gpm, head_m: 5 * foot },
      { flow_m3s: 31 * gpm, head_m: 0 },
    ],
    maxStartsPerHour: 20,
    minRun_s: 8,
  },
  discharge: {
    highPoint_m: 9 * foot,
    pipe: { material: "pvc-40", nominal_m: 1.5 * inch, insideDiameter_m: null, length_m: 24 * foot },
    fittings: [
      { kind: "elbow-90", count: 3 },
      { kind: "check-valve-swing", count: 1 },
    ],
  },
  design: { inflowFactor: 1.5 },
};
