// A basin of known truth for the tests of dirt: water runs in, a float starts the pump, some of it runs back; and beside
// the readings what really happened. What is then spoilt, by whom, stands in each test.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { silentReading } from "../../../analysis/readings/reading.ts";
import type { Site } from "../../../analysis/site.ts";
import { type Random, seededRandom } from "../../../daemon/sources/simulated/random.ts";

export const area_m2 = 0.16;
export const startLevel_m = 0.35;
export const stopLevel_m = 0.15;
export const pumpRate_lpm = 120;
export const hour_s = 3600;
/** 2026-03-02T00:00:00Z */
export const startTime_s = 1_772_409_600;

export const site: Site = {
  name: "Basin of the tests of dirt",
  timezone: "UTC",
  displayUnits: "metric",
  basin: {
    geometry: { shape: "rectangular", width_m: 0.4, length_m: 0.4, occupiedArea_m2: 0 },
    depth_m: 0.75,
    startLevel_m,
    stopLevel_m,
    highLevel_m: 0.5,
    overflowLevel_m: 0.75,
  },
  pump: { curve: null, maxStartsPerHour: 20, minRun_s: 8 },
  discharge: null,
  design: { inflowFactor: 1.5 },
};

export interface TrueRun {
  readonly startedAt_s: number;
  readonly stoppedAt_s: number;
}

export interface Played {
  readonly readings: Reading[];
  readonly runs: TrueRun[];
  readonly meanInflow_lpm: number;
}

export interface Play {
  readonly hours: number;
  readonly sample_s?: number;
  readonly seed?: number;
  /** Seconds since the beginning. */
  readonly inflow_lpm?: (t_s: number) => number;
  /** Somebody holds the float up. */
  readonly lifted?: (t_s: number) => boolean;
  /** Where the float closes, if it is tied elsewhere in between. */
  readonly start_m?: (t_s: number) => number;
  /** Standard deviation of the level at which the float turns over, and of the level's noise. */
  readonly float_m?: number;
  readonly noise_m?: number;
}

const step_s = 0.1;
const returned_m3 = 0.0004;
const returns_s = 1.5;
const spinUp_s = 1;

export function play(how: Play): Played {
  const { hours, sample_s = 1, seed = 1, inflow_lpm = () => 4, lifted = () => false, float_m = 0.002 } = how;
  const { start_m: starts_m = () => startLevel_m } = how;
  const random = seededRandom(seed);
  const read = sensor(random, how.noise_m ?? 0.0015);
  const readings: Reading[] = [];
  const runs: TrueRun[] = [];
  let level_m = 0.16;
  let on = false;
  let since_s = 0;
  let inPipe_m3 = 0;
  let inflow_m3 = 0;
  let scatter_m = random.normal(float_m);
  let stop_m = stopLevel_m + random.normal(float_m);
  const every = Math.round(sample_s / step_s);
  const steps = Math.round((hours * hour_s) / step_s);
  for (let i = 0; i < steps; i += 1) {
    const t_s = i * step_s;
    if (i % every === 0) readings.push(read(startTime_s + t_s, level_m, on));
    const held = lifted(t_s);
    if (!on && (level_m >= starts_m(t_s) + scatter_m || held)) {
      on = true;
      since_s = t_s;
      stop_m = stopLevel_m + random.normal(float_m);
    } else if (on && !held && (level_m <= stop_m || lifted(t_s - step_s))) {
      on = false;
      runs.push({ startedAt_s: startTime_s + since_s, stoppedAt_s: startTime_s + t_s });
      inPipe_m3 = returned_m3;
      scatter_m = random.normal(float_m);
    }
    const in_m3 = (inflow_lpm(t_s) / 60_000) * step_s;
    const back_m3 = on ? 0 : inPipe_m3 * (1 - Math.exp(-step_s / returns_s));
    const speed = Math.min(1, (t_s - since_s) / spinUp_s);
    const out_m3 = on ? (speed * pumpRate_lpm * step_s) / 60_000 : 0;
    inPipe_m3 -= back_m3;
    inflow_m3 += in_m3;
    level_m = Math.max(0, level_m + (in_m3 + back_m3 - out_m3) / area_m2);
  }
  return { readings, runs, meanInflow_lpm: (inflow_m3 * 60_000) / (hours * hour_s) };
}

function sensor(random: Random, noise_m: number): (time_s: number, level_m: number, on: boolean) => Reading {
  return (time_s, level_m, on) => ({
    ...silentReading,
    time_s,
    level_m: Math.round((level_m + random.normal(noise_m)) * 10_000) / 10_000,
    pumpOn: on,
    floatOn: on,
    highFloat: level_m > 0.5,
    pumpCurrent_a: on ? Math.round((5.2 + random.normal(0.05)) * 100) / 100 : 0,
    mainsOn: true,
    temperature_c: 11,
  });
}

/** The same readings with other levels; null drops one out. */
export function levels(
  readings: readonly Reading[],
  change: (level_m: number, t_s: number, i: number) => number | null,
): Reading[] {
  return readings.map((reading, i) =>
    reading.level_m === null
      ? reading
      : { ...reading, level_m: change(reading.level_m, reading.time_s - startTime_s, i) },
  );
}

/** The same readings with some channels as they come from `spoil`. */
export function spoilt(
  readings: readonly Reading[],
  spoil: (reading: Reading, t_s: number, i: number) => Partial<Reading>,
): Reading[] {
  return readings.map((reading, i) => ({ ...reading, ...spoil(reading, reading.time_s - startTime_s, i) }));
}
