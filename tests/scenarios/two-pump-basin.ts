// A basin with two pumps whose truth is known: a straight-walled vessel, a float for each pump, flows that fall with the
// lift, a start that takes a moment. Its own small model, apart from the one that plays the demo.

import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";

export const area_m2 = 0.12;
const startTime_s = 1_772_409_600;
/** More water over the pump, less lift: m³/s for each metre of level. */
const slope_m2s = 2e-4;
const spinUp_s = 0.6;
const step_s = 0.1;

export interface TwoPumps {
  readonly hours: number;
  readonly seed?: number;
  readonly sample_s?: number;
  /** After so many seconds. */
  readonly inflow_m3s: (after_s: number) => number;
  /** Of each by itself, with the water at 0.2 m, after so many seconds. */
  readonly flow_m3s: (pump: 1 | 2, after_s: number) => number;
  /** Both on one pipe move this share of the sum of what each moves alone. */
  readonly together?: number;
  /** Where each pump's float closes and opens. */
  readonly trips_m: readonly [readonly [number, number], readonly [number, number]];
  /** The pumps take turns: the first float to close starts the one whose turn it is. */
  readonly takeTurns?: boolean;
  /** Whether its motor fails, after so many seconds. */
  readonly dead?: (pump: 1 | 2, after_s: number) => boolean;
}

export interface PumpTruth {
  starts: number;
  run_s: number;
}

export interface TwoPumpTruth {
  readonly pumps: readonly [PumpTruth, PumpTruth];
  /** At least one runs. */
  starts: number;
  pumped_m3: number;
  inflow_m3: number;
  /** Mean inflow of every whole 600 s window's worst. */
  peak600_m3s: number;
}

export const twoPumpSite: Site = {
  name: "Basin with two pumps",
  timezone: "UTC",
  displayUnits: "metric",
  basin: {
    geometry: { shape: "rectangular", width_m: 0.3, length_m: 0.4, occupiedArea_m2: 0 },
    depth_m: 0.8,
    startLevel_m: 0.3,
    stopLevel_m: 0.1,
    highLevel_m: 0.6,
    overflowLevel_m: 0.8,
  },
  pump: { curve: null, maxStartsPerHour: 20, minRun_s: 5, name: "Main" },
  pumps: [
    { curve: null, maxStartsPerHour: 20, minRun_s: 5, name: "Main" },
    { curve: null, maxStartsPerHour: 10, minRun_s: null, name: "Standby" },
  ],
  discharge: null,
  design: { inflowFactor: 1.5 },
};

/** Alone 90 and 72 L/min with the water at 0.2 m; 145.8 together on one pipe. */
export const flow_m3s = (pump: 1 | 2) => (pump === 1 ? 1.5e-3 : 1.2e-3);
export const together = 0.9;

export const duty = { curve: null, maxStartsPerHour: 40, minRun_s: 5, name: "Main" };
/** The first pump starts at 0.3 m, the second at 0.4 m. */
export const standbySite: Site = {
  ...twoPumpSite,
  pump: duty,
  pumps: [duty, { curve: null, maxStartsPerHour: 40, minRun_s: null, name: "Standby", startLevel_m: 0.4 }],
};

export function playTwoPumps(plan: TwoPumps): { readonly readings: Reading[]; readonly truth: TwoPumpTruth } {
  const { sample_s = 1, seed = 1 } = plan;
  const random = seededRandom(seed, 7);
  const truth: TwoPumpTruth = {
    pumps: [
      { starts: 0, run_s: 0 },
      { starts: 0, run_s: 0 },
    ],
    starts: 0,
    pumped_m3: 0,
    inflow_m3: 0,
    peak600_m3s: 0,
  };
  const readings: Reading[] = [];
  const cameIn_m3 = [0];
  const called = [false, false];
  const on = [false, false];
  const since_s = [0, 0];
  let turn = 0;
  let level_m = 0.15;
  let sum_m3 = 0;
  const steps = Math.round((plan.hours * 3600) / step_s);
  for (let i = 0; i <= steps; i++) {
    const t = i * step_s;
    for (const k of [0, 1]) {
      const [close_m, open_m] = plan.trips_m[k] ?? [1, 0];
      if (level_m >= close_m) called[k] = true;
      else if (level_m <= open_m) called[k] = false;
    }
    const wanted = plan.takeTurns ? [false, false] : [...called];
    if (plan.takeTurns && called[0]) wanted[turn] = true;
    if (plan.takeTurns && called[1]) wanted[1 - turn] = true;
    for (const k of [0, 1]) if (plan.dead?.(k === 0 ? 1 : 2, t)) wanted[k] = false;
    const ranBefore = on[0] || on[1];
    for (const k of [0, 1] as const) {
      if (wanted[k] === on[k]) continue;
      on[k] = wanted[k] ?? false;
      since_s[k] = t;
      if (on[k] && i > 0) truth.pumps[k].starts += 1;
    }
    const runs = on[0] || on[1];
    if (runs && !ranBefore) truth.starts += 1;
    if (!runs && ranBefore) turn = 1 - turn;
    const share = on[0] && on[1] ? (plan.together ?? 1) : 1;
    let out_m3s = 0;
    for (const k of [0, 1] as const) {
      if (!on[k]) continue;
      truth.pumps[k].run_s += step_s;
      const full = plan.flow_m3s(k === 0 ? 1 : 2, t) + slope_m2s * (level_m - 0.2);
      out_m3s += share * full * Math.min(1, (t - (since_s[k] ?? 0)) / spinUp_s);
    }
    const in_m3s = plan.inflow_m3s(t);
    if (i % Math.round(sample_s / step_s) === 0) {
      readings.push({
        ...silentReading,
        time_s: startTime_s + Math.round(t * 10) / 10,
        level_m: Math.round((level_m + random.normal(0.0012)) * 1e4) / 1e4,
        pumpOn: on[0] ?? null,
        pump2On: on[1] ?? null,
      });
    }
    level_m += ((in_m3s - out_m3s) * step_s) / area_m2;
    sum_m3 += in_m3s * step_s;
    truth.inflow_m3 = sum_m3;
    truth.pumped_m3 += out_m3s * step_s;
    if ((i + 1) % 10 === 0) cameIn_m3.push(sum_m3);
  }
  for (let i = 600; i < cameIn_m3.length; i++) {
    truth.peak600_m3s = Math.max(truth.peak600_m3s, ((cameIn_m3[i] ?? 0) - (cameIn_m3[i - 600] ?? 0)) / 600);
  }
  return { readings, truth };
}
