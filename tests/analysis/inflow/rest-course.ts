// A rest of the small basin (6 L/min in) as volumes against seconds since the stop, with what a test adds to it.

import type { CurveSamples } from "../../../analysis/statistics/fit-curve.ts";
import { type Random, seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { area_m2, inflow_m3s } from "../small-basin.ts";

export interface RestCourse {
  readonly duration_s?: number;
  readonly interval_s?: number;
  /** Standard deviation of the level's noise. */
  readonly noise_m?: number;
  readonly seed?: number;
  /** Volume beside the inflow's, at so many seconds after the stop. */
  readonly extra_m3?: (t: number) => number;
  /** Error of a reading. */
  readonly error_m?: (random: Random) => number;
  /** Inflow that has come by then; constant unless given. */
  readonly inflowBy_m3?: (t: number) => number;
}

export const stored_m3 = 0.01;
const litre = 1e-3;

export function restCourse(course: RestCourse = {}): CurveSamples {
  const { duration_s = 600, interval_s = 1, noise_m = 0.0015, seed = 1 } = course;
  const { extra_m3 = () => 0, error_m = () => 0, inflowBy_m3 = (t: number) => inflow_m3s * t } = course;
  const random = seededRandom(seed);
  const t = Float64Array.from({ length: Math.floor(duration_s / interval_s) }, (_, i) => (i + 0.5) * interval_s);
  const y = t.map(
    (time) => stored_m3 + inflowBy_m3(time) + extra_m3(time) + area_m2 * (random.normal(noise_m) + error_m(random)),
  );
  return { t, y, weight: new Float64Array(t.length).fill(1), count: t.length };
}

/** One litre that comes back within seconds, as through a closing valve: what has not come yet is missing. */
export function fadingLitre(time_s: number): (t: number) => number {
  return (t) => litre * (1 - Math.exp(-t / time_s));
}

/** Three litres that come back at one rate within so many seconds. */
export function steadyLitres(litres: number, within_s: number): (t: number) => number {
  return (t) => litres * litre * Math.min(1, t / within_s);
}
