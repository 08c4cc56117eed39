// The hand test by a live level: readings in as they come, inflow so far and whether it is sure enough out. For the
// button on the page; the pump rests meanwhile, and a person sees to that.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { withParts } from "../cycles/flow-arithmetic.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { varianceInflation } from "../statistics/autocorrelation.ts";
import { type CurveSamples, fitCurve } from "../statistics/fit-curve.ts";
import { rejectOutliers } from "../statistics/robust-weights.ts";
import { studentTQuantile } from "../statistics/student-t.ts";

export interface RiseWatchSetting {
  readonly geometry: BasinGeometry;
  /** As in the hand test: shares. */
  readonly uGeometry: number;
  readonly wanted: number;
  /** After the pump stops, water that runs back through the check valve and ripples are waited out. */
  readonly settle_s?: number;
  /** Nothing is enough before that, however straight the line. */
  readonly atLeast_s?: number;
}

export interface RiseSoFar {
  /** Since the end of the wait; 0 during it. */
  readonly watched_s: number;
  readonly rise_m: number;
  /** Null before anything can be said. */
  readonly inflow: FlowEstimate | null;
  /** Half-width of its 95 % interval over it. */
  readonly within: number | null;
  readonly enough: boolean;
  /** How much longer at the present scatter; null: not known, or never. */
  readonly remaining_s: number | null;
  /** Why the watch is over: the water fell, so a pump ran; or no reading came for a minute. */
  readonly over: "fell" | "silent" | null;
}

export interface RiseWatch {
  /** Takes the next reading; readings come in order of time. */
  push(time_s: number, level_m: number | null): RiseSoFar;
}

const usualSettle_s = 10;
const usualAtLeast_s = 60;
const silent_s = 60;
/** No ripple is so deep: the pump runs. */
const fell_m = 0.015;
const fewest = 8;
/** Beyond so many readings every second one is let go: a long watch needs no more. */
const mostKept = 2000;

/** @param setting of the basin and of what is wanted */
export function riseWatch(setting: RiseWatchSetting): RiseWatch {
  const { settle_s = usualSettle_s } = setting;
  let begun_s: number | null = null;
  let last_s = Number.NaN;
  let highest_m = Number.NEGATIVE_INFINITY;
  let newest_m: number[] = [];
  let times_s: number[] = [];
  let levels_m: number[] = [];
  let over: RiseSoFar["over"] = null;
  return {
    push(time_s, level_m) {
      begun_s ??= time_s;
      if (over === null && time_s - last_s > silent_s) over = "silent";
      if (over === null && level_m !== null) {
        last_s = time_s;
        newest_m = [...newest_m, level_m].slice(-3);
        const steady_m = newest_m.toSorted((a, b) => a - b)[newest_m.length >> 1] ?? level_m;
        highest_m = Math.max(highest_m, steady_m);
        if (steady_m < highest_m - fell_m) over = "fell";
        else if (time_s - begun_s >= settle_s) {
          times_s.push(time_s);
          levels_m.push(level_m);
        }
      }
      if (times_s.length > mostKept) [times_s, levels_m] = [halved(times_s), halved(levels_m)];
      return soFar(times_s, levels_m, setting, over);
    },
  };
}

function halved(values: readonly number[]): number[] {
  return values.filter((_, i) => i % 2 === 0);
}

function soFar(
  times_s: readonly number[],
  levels_m: readonly number[],
  setting: RiseWatchSetting,
  over: RiseSoFar["over"],
): RiseSoFar {
  const watched_s = (times_s.at(-1) ?? 0) - (times_s[0] ?? 0);
  const rise_m = (levels_m.at(-1) ?? 0) - (levels_m[0] ?? 0);
  const inflow = inflowOf(times_s, levels_m, setting);
  if (inflow === null) return { watched_s, rise_m, inflow, within: null, enough: false, remaining_s: null, over };
  const half_m3s = studentTQuantile(0.975, inflow.degreesOfFreedom) * inflow.uFlow_m3s;
  const within = inflow.flow_m3s > 0 ? half_m3s / inflow.flow_m3s : null;
  const { wanted, atLeast_s = usualAtLeast_s, uGeometry } = setting;
  const enough = within !== null && within <= wanted && watched_s >= atLeast_s;
  return { watched_s, rise_m, inflow, within, enough, remaining_s: remaining(within, wanted, uGeometry), over };

  /** The scatter's part falls with the time to the power of one and a half (a slope through evenly read levels). */
  function remaining(now: number | null, aim: number, share: number): number | null {
    if (enough) return 0;
    if (now === null) return null;
    const fixed = coverage * share;
    if (!(aim > fixed)) return null;
    const scatter = Math.sqrt(Math.max(0, now ** 2 - fixed ** 2));
    const whole_s = watched_s * (scatter / Math.sqrt(aim ** 2 - fixed ** 2)) ** (2 / 3);
    return Math.max(0, Math.max(whole_s, atLeast_s) - watched_s);
  }
}

const coverage = studentTQuantile(0.975, Number.POSITIVE_INFINITY);

/**
 * Slope of the stored volume by least squares, outliers left out, its variance raised by what neighbouring readings have
 * in common, and by what a sensor of coarse steps hides at either end.
 */
function inflowOf(
  times_s: readonly number[],
  levels_m: readonly number[],
  { geometry, uGeometry }: RiseWatchSetting,
): FlowEstimate | null {
  const count = times_s.length;
  const [first_s, last_s] = [times_s[0] ?? 0, times_s.at(-1) ?? 0];
  if (count < fewest || !(last_s > first_s)) return null;
  const samples: CurveSamples = {
    t: Float64Array.from(times_s, (time_s) => time_s - first_s),
    y: Float64Array.from(levels_m, (level_m) => geometry.volume_m3(level_m)),
    weight: new Float64Array(count).fill(1),
    count,
  };
  const rough = fitCurve(samples, 1);
  if (rough === undefined) return null;
  rejectOutliers(samples, rough);
  const line = fitCurve(samples, 1);
  if (line === undefined || line.count < fewest) return null;
  const degreesOfFreedom = line.count - 2;
  const { slope, variance } = line.meanSlope(0, last_s - first_s);
  const scatter = variance * (line.residualSquares / degreesOfFreedom) * inflationOf(samples, line.valueAt);
  const middle_m = levels_m[count >> 1] ?? 0;
  const uStep_m3 = (Math.SQRT2 * stepOf(levels_m) * geometry.area_m2(middle_m)) / Math.sqrt(12);
  const uFlow_m3s = Math.max(Math.sqrt(scatter), uStep_m3 / (last_s - first_s));
  const estimate = { flow_m3s: slope, uFlow_m3s, degreesOfFreedom };
  return uGeometry > 0 ? withParts(estimate, { geometry: uGeometry * Math.abs(slope) }) : estimate;
}

function inflationOf({ t, y, weight, count }: CurveSamples, valueAt: (t: number) => number): number {
  const residuals = new Float64Array(count);
  let kept = 0;
  for (let i = 0; i < count; i++) {
    if ((weight[i] ?? 0) > 0) residuals[kept++] = (y[i] ?? 0) - valueAt(t[i] ?? 0);
  }
  return varianceInflation(residuals, kept);
}

/** The smallest step that the readings make: the sensor's resolution, or less. */
function stepOf(levels_m: readonly number[]): number {
  let step_m = Number.POSITIVE_INFINITY;
  for (let i = 1; i < levels_m.length; i++) {
    const change_m = Math.abs((levels_m[i] ?? 0) - (levels_m[i - 1] ?? 0));
    if (change_m > 1e-9) step_m = Math.min(step_m, change_m);
  }
  return Number.isFinite(step_m) ? step_m : 0;
}
