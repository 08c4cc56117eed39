// Storms in the record of inflow: each parted from the base beneath it, measured, and matched with its rain.
// Where rises begin and end is rises.ts's; how inflow answers rain in general is fit-response.ts's.

import type { InflowStretch } from "../analyzer.ts";
import { addStretch, breakPeaks, newPeaks, type Peak } from "../inflow/rolling-peaks.ts";
import { medianInPlace } from "../statistics/median.ts";
import { type EvenSeries, evenInflow } from "./even-series.ts";
import type { RainStretch } from "./rain.ts";
import { fitRecession, masterRecession, type Recession } from "./recession.ts";
import { bridged, findRises, highest, lowest, noiseOfSteps, type Rise, smoothed } from "./rises.ts";
import type { Storm } from "./storm.ts";
import { noRain, rainOfStorm } from "./storm-rain.ts";

export interface StormsFound {
  readonly storms: readonly Storm[];
  /** Over all storms; null before one came down far enough. */
  readonly masterRecession: Recession | null;
  /** Even steps on which was searched; null without inflow. */
  readonly course: StormCourse | null;
}

/** Inflow on even steps, and the base beneath the storms. */
export interface StormCourse extends EvenSeries {
  readonly u: Float64Array;
  readonly base: Float64Array;
  readonly noise_m3s: number;
}

/** 0.3 L/min: less than that needs no bigger pump. Common practice, no source. */
const least_m3s = 5e-6;
/** Where the rain is known, a rise without rain is no storm, and a smaller one with it may be. */
const rule = { least_m3s, timesNoise: 5, shareOfBase: 0.5 };
const ruleWithRain = { ...rule, shareOfBase: 0.2 };
const bridged_s = 7200;
/** A rise so soon after a storm was cut short by it is the one that did so. */
const near_s = 7200;
/** What is left of a storm at its end fades in about such a time. */
const settles_s = 12 * 3600;
const fallsFrom = 0.75;
const fallsTo = 0.08;
/** Machines and hoses stop at once: what falls so fast, and lasted no longer, is no storm unless it rained. */
const stopsAtOnce_s = 900;
const soonOver_s = 5400;

/**
 * Finds storms in an inflow record.
 *
 * The inflow is laid on even steps of five minutes or, where the record is coarser, of its usual length, and smoothed by a
 * running median. A rise over the least flow of the day before by more than noise and half that flow (a fifth where the
 * rain is known, for then a rise without rain is none) is a storm; the flow before it, and in another storm's recession that recession carried on, is its base. It ends when a twentieth of its
 * height is left. Peaks are those of the stretches themselves.
 *
 * @param inflow in order of time, as the analyzer gives it; a gap is where no stretch is
 * @param rain   in order of time; null when unknown
 */
export function findStorms(inflow: readonly InflowStretch[], rain: readonly RainStretch[] | null): StormsFound {
  if (inflow.length === 0) return { storms: [], masterRecession: null, course: null };
  const grid = evenInflow(inflow, usualStep_s(inflow));
  const smooth = smoothed(bridged(grid, bridged_s));
  const noise_m3s = noiseOfSteps(smooth);
  const rises = findRises(smooth, grid.step_s, noise_m3s, rain === null ? rule : ruleWithRain);
  const context: Context = { inflow, rain, grid, smooth, noise_m3s, recession: null };
  // What is left of the storm before can only be taken off once it is known how fast storms fade.
  const first = masterOf(measureAll(rises, context).storms);
  const { storms, base } = measureAll(rises, { ...context, recession: first });
  return { storms, masterRecession: masterOf(storms), course: { ...grid, base, noise_m3s } };
}

interface Context {
  readonly inflow: readonly InflowStretch[];
  readonly rain: readonly RainStretch[] | null;
  readonly grid: EvenSeries & { readonly u: Float64Array };
  readonly smooth: Float64Array;
  readonly noise_m3s: number;
  readonly recession: Recession | null;
}

function masterOf(storms: readonly Storm[]): Recession | null {
  return masterRecession(storms.flatMap(({ recession }) => (recession === null ? [] : [recession])));
}

/** Five minutes, or what more than half of the stretches last. */
function usualStep_s(inflow: readonly InflowStretch[]): number {
  const lengths = Float64Array.from(inflow, ({ from_s, to_s }) => to_s - from_s);
  const usual_s = medianInPlace(lengths);
  const long = usual_s > 600 && inflow.every(({ from_s, to_s }) => to_s - from_s >= usual_s * 0.9);
  return long ? usual_s : 300;
}

function measureAll(rises: readonly Rise[], context: Context): { storms: Storm[]; base: Float64Array } {
  const base = context.smooth.slice();
  const { grid } = context;
  const storms: Storm[] = [];
  let notBefore_s = Number.NEGATIVE_INFINITY;
  let before: { rise: Rise; base_m3s: number } | null = null;
  for (const rise of rises) {
    const inTail: boolean =
      before?.rise.ended === "next-storm" && grid.step_s * (rise.onset - before.rise.end) < near_s;
    const under_m3s: number = inTail && before !== null ? before.base_m3s : calmBefore(context, rise);
    const beneath = layBase(context, rise, under_m3s, inTail, base);
    before = { rise, base_m3s: under_m3s };
    const storm = measure(context, rise, { beneath, calm_m3s: under_m3s, notBefore_s });
    if (storm === null) continue;
    storms.push(storm);
    notBefore_s = grid_s(context, rise.top + 1);
  }
  return { storms, base };
}

/** Median of three hours before the rise. */
function calmBefore({ smooth, grid }: Context, { onset, onset_m3s }: Rise): number {
  const before: number[] = [];
  for (let i = Math.max(0, onset - Math.max(3, Math.round(10_800 / grid.step_s))); i <= onset; i += 1) {
    if (!Number.isNaN(smooth[i] as number)) before.push(smooth[i] as number);
  }
  return Math.min(medianInPlace(before), onset_m3s);
}

/** From what stood at the beginning to what the flow goes down to after the end; in another's tail, that tail carried on. */
function layBase(
  { smooth, grid, recession }: Context,
  { onset, end, ended, onset_m3s }: Rise,
  under_m3s: number,
  inTail: boolean,
  base: Float64Array,
): Float64Array {
  const beneath = new Float64Array(end - onset);
  const end_m3s = ended === "back-to-base" ? lowest(smooth, end, end + Math.round(settles_s / grid.step_s)) : under_m3s;
  const left_m3s = inTail ? onset_m3s - under_m3s : 0;
  for (let i = 0; i < beneath.length; i += 1) {
    const tail =
      left_m3s <= 0 || recession === null ? 0 : left_m3s * Math.exp((-i * grid.step_s) / recession.constant_s);
    const level =
      under_m3s +
      (Math.max(0, Math.min(end_m3s, smooth[end - 1] as number) - under_m3s) * i) / Math.max(1, beneath.length);
    beneath[i] = Math.min(Math.max(level, under_m3s + tail), smooth[onset + i] as number);
    base[onset + i] = beneath[i] as number;
  }
  return beneath;
}

function grid_s({ grid }: Context, i: number): number {
  return grid.from_s + i * grid.step_s;
}

interface Beneath {
  readonly beneath: Float64Array;
  readonly calm_m3s: number;
  readonly notBefore_s: number;
}

function measure(context: Context, rise: Rise, { beneath, calm_m3s, notBefore_s }: Beneath): Storm | null {
  const { grid, smooth, noise_m3s, inflow, rain } = context;
  const [from_s, to_s] = [grid_s(context, rise.onset), grid_s(context, rise.end)];
  const above = beneath.map((base, i) => Math.max(0, (smooth[rise.onset + i] as number) - base));
  const height_m3s = above[rise.top - rise.onset] ?? 0;
  if (!(height_m3s > 0)) return null;
  const recession = recessionOf(context, rise, above, height_m3s);
  const peaks = peaksBetween(inflow, from_s, to_s);
  const storm = { ...volumeOf(context, rise, above, recession), ended: rise.ended, from_s, to_s };
  const course = { above, step_s: grid.step_s, peak: peaks[600], notBefore_s };
  const rainOf = rain === null ? null : rainOfStorm(rain, storm, course);
  if (rainOf === noRain || (rainOf === null && stopsAtOnce(above, grid.step_s))) return null;
  const base_m3s = beneath[0] as number;
  const top_m3s = peaks[600]?.inflow_m3s ?? height_m3s + (beneath[rise.top - rise.onset] as number);
  return {
    ...storm,
    rise_s: grid_s(context, rise.top) + grid.step_s / 2 - from_s,
    peaks,
    base_m3s,
    calm_m3s,
    peakAboveBase_m3s: Math.max(noise_m3s, top_m3s - (beneath[rise.top - rise.onset] as number)),
    recession,
    rain: rainOf,
  };
}

function stopsAtOnce(above: Float64Array, step_s: number): boolean {
  const height = highest(above);
  const last = (share: number) => above.findLastIndex((flow) => flow > share * height);
  const wide_s = (last(0.5) - above.findIndex((flow) => flow > 0.5 * height) + 1) * step_s;
  return wide_s <= soonOver_s && (last(0.2) - last(0.8)) * step_s <= stopsAtOnce_s;
}

function volumeOf({ grid, recession: master }: Context, rise: Rise, above: Float64Array, own: Recession | null) {
  let [seen_m3, u_m3, unseen_s] = [0, 0, 0];
  above.forEach((flow, i) => {
    const u = grid.u[rise.onset + i] as number;
    seen_m3 += flow * grid.step_s;
    // One basin, one sensor: errors of a storm's steps are taken as equal.
    u_m3 += (Number.isNaN(u) ? 0.3 * flow : u) * grid.step_s;
    if (Number.isNaN(u)) unseen_s += grid.step_s;
  });
  const { constant_s = 0, uConstant_s = 0 } = own ?? master ?? {};
  const last_m3s = above[above.length - 1] ?? 0;
  const tail_m3 = last_m3s * constant_s;
  const volume_m3 = seen_m3 + tail_m3;
  const uVolume_m3 = Math.hypot(u_m3, last_m3s * uConstant_s, 0.02 * volume_m3);
  return { volume_m3, uVolume_m3, tailShare: tail_m3 / volume_m3, unseen_s };
}

/** From when it last stood at three quarters of its height to when noise or a twelfth of it is left. */
function recessionOf({ grid, noise_m3s }: Context, rise: Rise, above: Float64Array, height_m3s: number) {
  const begin = above.findLastIndex((flow) => flow > fallsFrom * height_m3s);
  const floor = Math.max(fallsTo * height_m3s, 3 * noise_m3s);
  const time_s: number[] = [];
  const flow_m3s: number[] = [];
  for (let i = begin + 1; i < above.length && (above[i] as number) > floor; i += 1) {
    if (Number.isNaN(grid.value[rise.onset + i] as number)) continue;
    time_s.push(i * grid.step_s);
    flow_m3s.push(above[i] as number);
  }
  // A tail that was cut off early says nothing of how it would have gone on.
  if (!((flow_m3s[flow_m3s.length - 1] ?? 1) < 0.6 * (flow_m3s[0] ?? 0))) return null;
  return fitRecession({
    time_s,
    flow_m3s,
    uFlow_m3s: Math.max(noise_m3s, 0.03 * height_m3s),
    uBase_m3s: Math.max(noise_m3s, 0.03 * height_m3s),
  });
}

/** Highest means of the stretches themselves; the errors of one storm are taken as equal. */
function peaksBetween(inflow: readonly InflowStretch[], from_s: number, to_s: number): Storm["peaks"] {
  const state = newPeaks();
  let last_s: number | null = null;
  for (let i = firstAfter(inflow, from_s); i < inflow.length; i += 1) {
    const stretch = inflow[i] as InflowStretch;
    if (stretch.from_s >= to_s) break;
    if (last_s !== null && stretch.from_s - last_s > 1) breakPeaks(state);
    addStretch(state, stretch.from_s, stretch.to_s, stretch.inflow_m3s, stretch.uInflow_m3s, 0);
    last_s = stretch.to_s;
  }
  const [minute, tenMinutes, hour] = state.peaks as [Peak | null, Peak | null, Peak | null];
  return { 60: minute, 600: tenMinutes, 3600: hour };
}

function firstAfter(inflow: readonly InflowStretch[], time_s: number): number {
  let [low, high] = [0, inflow.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((inflow[middle] as InflowStretch).to_s <= time_s) low = middle + 1;
    else high = middle;
  }
  return low;
}
