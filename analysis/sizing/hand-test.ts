// The inflow by hand: pump down, switch off, watch the water rise with ruler and watch, again and again. What comes out,
// how sure it is, and how long to watch. The same from a live level is rise-watch.ts; its words are hand-test-answer.ts.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import { combinedUncertainty, effectiveDegreesOfFreedom } from "../uncertainty/combine.ts";

/** One rise as it was watched. */
export interface WatchedRise {
  readonly rise_m: number;
  readonly watched_s: number;
  /** Level at which the watch began; null: the stop level, and in a basin with straight walls it makes no difference. */
  readonly from_m: number | null;
}

export interface HandTestSetting {
  readonly geometry: BasinGeometry;
  /** Standard uncertainty of a volume by the basin's shape, as a share; 0 where nothing is stated. */
  readonly uGeometry: number;
  readonly stopLevel_m: number | null;
  /** Standard uncertainty of one reading of the ruler and of one press of the watch. */
  readonly uRuler_m: number;
  readonly uWatch_s: number;
  /** Wanted half-width of the 95 % interval, as a share of the inflow. */
  readonly wanted: number;
  /** Water may rise so far in a repeat; null: not known. */
  readonly room_m: number | null;
}

/** A ruler in rippling water, read to an eighth of an inch either side; a watch by hand to half a second; no source. */
export const usualRuler_m = 0.003175 / Math.sqrt(3);
export const usualWatch_s = 0.5 / Math.sqrt(3);
/** Common practice, no source: the allowance over the peak is ten times as much. */
export const usuallyWanted = 0.05;

export interface HandTestResult {
  readonly repeats: readonly (WatchedRise & {
    readonly volume_m3: number;
    readonly flow_m3s: number;
    /** Of this one's readings alone. */
    readonly uReading_m3s: number;
  })[];
  readonly inflow: FlowEstimate;
  /** Half-width of the 95 % interval over the inflow. */
  readonly within: number;
  readonly enough: boolean;
  /** What would be enough: so long for each of so many repeats; null where the basin's own size is not known that well. */
  readonly watch: { readonly each_s: number; readonly repeats: number } | null;
}

/**
 * Mean inflow over the repeats, each weighted by how well its rise and its time were read; where they differ by more than
 * their readings explain, what they differ by counts (Birge's ratio) with Student's t for so few.
 *
 * @param rises one or more, each with a rise and a time above 0
 * @throws {RangeError} on no rise, or one that is not above 0 in rise and time
 * @see JCGM 100:2008, 4.2.3 and 5.1.2; Birge (1932) for the ratio
 */
export function handTest(rises: readonly WatchedRise[], setting: HandTestSetting): HandTestResult {
  if (rises.length === 0) throw new RangeError("handTest: need one rise or more, got none");
  const repeats = rises.map((rise) => ofOne(rise, setting));
  const weights = repeats.map(({ uReading_m3s }) => uReading_m3s ** -2);
  const weight = weights.reduce((sum, each) => sum + each, 0);
  const flow_m3s = repeats.reduce((sum, { flow_m3s: flow }, i) => sum + flow * (weights[i] ?? 0), 0) / weight;
  const squares = repeats.reduce((sum, { flow_m3s: flow }, i) => sum + (weights[i] ?? 0) * (flow - flow_m3s) ** 2, 0);
  const birge = repeats.length > 1 ? squares / (repeats.length - 1) : 0;
  const read = {
    u: Math.sqrt(Math.max(1, birge) / weight),
    degreesOfFreedom: birge > 1 ? repeats.length - 1 : Number.POSITIVE_INFINITY,
  };
  const basin = { u: setting.uGeometry * flow_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
  const inflow = {
    flow_m3s,
    uFlow_m3s: combinedUncertainty([read.u, basin.u]),
    degreesOfFreedom: effectiveDegreesOfFreedom([read, basin]),
  };
  const within = (studentTQuantile(0.975, inflow.degreesOfFreedom) * inflow.uFlow_m3s) / flow_m3s;
  const scatter = Math.sqrt((birge * repeats.length) / weight) / flow_m3s;
  return {
    repeats,
    inflow,
    within,
    enough: within <= setting.wanted,
    watch: birge > 1 ? moreRepeats(scatter, setting, repeats) : watchFor(flow_m3s, setting, repeats.length),
  };
}

/**
 * How long to watch for the wanted certainty: with as many repeats as there were, if the water has room to rise so long;
 * else as long as it has, and more repeats.
 *
 * @returns null where the basin's size alone leaves more open than is wanted
 */
export function watchFor(flow_m3s: number, setting: HandTestSetting, repeats: number): HandTestResult["watch"] {
  const { geometry, stopLevel_m, uRuler_m, uWatch_s, uGeometry, wanted, room_m } = setting;
  const left = (wanted / coverage) ** 2 - uGeometry ** 2;
  if (!(left > 0 && flow_m3s > 0)) return null;
  const rise_ms = flow_m3s / geometry.area_m2(stopLevel_m ?? 0);
  const perSecond = Math.SQRT2 * Math.hypot(uRuler_m / rise_ms, uWatch_s);
  const most_s = room_m === null ? longest_s : Math.min(longest_s, room_m / rise_ms);
  const each_s = perSecond / Math.sqrt(left * repeats);
  if (each_s <= most_s) return { each_s: roundedUp(each_s, most_s), repeats };
  return { each_s: most_s, repeats: Math.ceil(perSecond ** 2 / (left * most_s ** 2)) };
}

/**
 * Where repeats differ by more than their readings explain, the inflow itself changes or the ruler slipped: watching longer
 * does not help, more repeats do, as many as Student's t for them allows.
 *
 * @param scatter standard deviation of one repeat, as a share
 */
function moreRepeats(
  scatter: number,
  { wanted, uGeometry }: HandTestSetting,
  made: HandTestResult["repeats"],
): HandTestResult["watch"] {
  const each_s = made.reduce((sum, { watched_s }) => sum + watched_s, 0) / made.length;
  for (let repeats = made.length; repeats <= mostRepeats; repeats++) {
    const half = studentTQuantile(0.975, repeats - 1) * (scatter / Math.sqrt(repeats));
    if (Math.hypot(half, coverage * uGeometry) <= wanted) return { each_s, repeats };
  }
  return null;
}

const mostRepeats = 100;
const coverage = studentTQuantile(0.975, Number.POSITIVE_INFINITY);
/** Nobody watches water longer than that at a stretch, and nobody for less than a minute. */
const longest_s = 3600;
const shortest_s = 60;

function roundedUp(time_s: number, most_s: number): number {
  const step = time_s > 120 ? 30 : 10;
  return Math.min(most_s, Math.max(shortest_s, Math.ceil(time_s / step) * step));
}

function ofOne(rise: WatchedRise, setting: HandTestSetting) {
  const { rise_m, watched_s } = rise;
  if (!(rise_m > 0 && watched_s > 0)) {
    throw new RangeError(`handTest: a rise of ${rise_m} m in ${watched_s} s; both must be above 0`);
  }
  const { geometry, uRuler_m, uWatch_s } = setting;
  const from_m = rise.from_m ?? setting.stopLevel_m ?? 0;
  const volume_m3 = geometry.volume_m3(from_m + rise_m) - geometry.volume_m3(from_m);
  const flow_m3s = volume_m3 / watched_s;
  // Either end of the rise is read once, and so is either end of the time.
  const uVolume_m3 = uRuler_m * Math.hypot(geometry.area_m2(from_m), geometry.area_m2(from_m + rise_m));
  const uReading_m3s = flow_m3s * Math.hypot(uVolume_m3 / volume_m3, (Math.SQRT2 * uWatch_s) / watched_s);
  return { ...rise, volume_m3, flow_m3s, uReading_m3s };
}
