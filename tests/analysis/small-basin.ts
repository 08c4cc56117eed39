// A basin of round figures whose course is known in closed form, for tests of the analysis: 1000 cm² of water surface,
// 6 L/min in, 66 L/min out, so that it fills by 1 mm/s in 200 s and falls by 10 mm/s in 20 s.

import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";

export const smallSite: Site = {
  name: "Basin of round figures",
  timezone: "UTC",
  displayUnits: "metric",
  basin: {
    geometry: { shape: "rectangular", width_m: 0.25, length_m: 0.4, occupiedArea_m2: 0 },
    depth_m: 0.6,
    startLevel_m: 0.3,
    stopLevel_m: 0.1,
    highLevel_m: 0.45,
    overflowLevel_m: 0.6,
  },
  pump: { curve: null, maxStartsPerHour: 20, minRun_s: 8 },
  discharge: null,
  design: { inflowFactor: 1.5 },
};

/** The same with a published curve that on its discharge gives about `flow_m3s`. */
export function siteWithCurve(flow_m3s: number): Site {
  return {
    ...smallSite,
    pump: {
      curve: [0, 0.5, 1, 1.5].map((share, i) => ({ flow_m3s: share * flow_m3s, head_m: 3.6 - 0.4 * i - 0.1 * i * i })),
      maxStartsPerHour: 20,
      minRun_s: 8,
    },
    discharge: {
      highPoint_m: 2.5,
      pipe: { material: "pvc-40", nominal_m: 0.0508, insideDiameter_m: null, length_m: 4 },
      fittings: [],
    },
  };
}

export const area_m2 = 0.1;
export const inflow_m3s = 1e-4;
export const pumpRate_m3s = 1.1e-3;
export const rest_s = 200;
export const run_s = 20;
export const cycle_s = rest_s + run_s;

/** 2026-03-02T00:00:00Z, when a rest begins. */
export const startTime_s = 1_772_409_600;

/** The course after so many seconds: a rest first, from the stop level on. */
export function courseAt(after_s: number): { readonly level_m: number; readonly pumpOn: boolean } {
  const phase_s = ((after_s % cycle_s) + cycle_s) % cycle_s;
  return phase_s < rest_s
    ? { level_m: 0.1 + 0.001 * phase_s, pumpOn: false }
    : { level_m: 0.3 - 0.01 * (phase_s - rest_s), pumpOn: true };
}

export function reading(time_s: number, channels: Partial<Reading>): Reading {
  return { ...silentReading, ...channels, time_s };
}

/** Readings of level and contact every `interval_s`, the first one `from_s` into the course. */
export function courseReadings(
  duration_s: number,
  { interval_s = 1, from_s = 0, noise = (): number => 0 } = {},
): Reading[] {
  return Array.from({ length: Math.floor(duration_s / interval_s) + 1 }, (_, i) => {
    const after_s = from_s + i * interval_s;
    const { level_m, pumpOn } = courseAt(after_s);
    return reading(startTime_s + after_s, { level_m: level_m + noise(), pumpOn });
  });
}
