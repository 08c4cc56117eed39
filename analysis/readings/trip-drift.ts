// The level sensor watched by the float's trips: floats trip at the same water each time, so that trips which move
// together in the readings are the sensor's drift.
//
// One trip alone may move for many reasons: a fast rise between two readings, a run begun by hand, a float tied higher.
// So a shift of the zero is what both trips share, and a change of the span is what the distance between them shares
// with what the pump seems to move: a float that was tied elsewhere changes the distance and not the pump.

import { type CusumState, feedCusum, newCusum } from "../statistics/cusum.ts";
import { medianInPlace } from "../statistics/median.ts";
import { isReturnedWater } from "./returned-in-trips.ts";
import type { TripLevelsState, Trips } from "./trip-levels.ts";

export type TripProblem = "zero-drift" | "span-drift" | "re-zeroed";

export interface TripDrift {
  readonly problem: TripProblem;
  readonly since_s: number;
  /** By how much both trips have moved, and the distance between them, as a share. */
  readonly shift_m: number;
  readonly span_share: number;
}

/** So many cycles refine the usual trips while nothing points to a shift. */
const refinedUntil = 48;
/** Shifts beyond these count; floats and sensors that are well wander by less. Common practice, no source. */
const leastShift_m = 0.006;
const leastShare = 0.03;
/** Cusum: allowance and limit in units of the above, or of the scatter where that is more. */
const k = 1;
const h = 8;
/** A change of the distance between the trips alone is the floats' own affair: learned anew, more slowly. */
const hSwing = 16;
/** No cycle says more than this. */
const mostOf = 3;
/** Cycles close to one another share the slow wander of a sensor: each counts by the time that it stands for. */
const standsFor_s = 600;
const few = 6;
/** No span goes off by more than this share: a float that chatters stops the pump on its way down. */
const mostOfSpan = 0.4;
/** A sensor whose zero goes with the day's temperature is back after a day; so much of a shift is none of that. */
const day_s = 86_400;
const mostOfDay = 2;
/** Between readings far apart the water rises alike in all cycles of a storm: no chance that averages out, but a whole interval. */
export const wholeInterval = Math.sqrt(12);

/** The trips of one more cycle while no drift is open. */
export function watchTrips(state: TripLevelsState, trips: Trips, before: Trips | undefined): void {
  const { zero, span, swing } = state;
  const share = Math.min(1, (trips.time_s - (before?.time_s ?? Number.NEGATIVE_INFINITY)) / standsFor_s);
  const unit_m = unitOf_m(state, trips.uSampling_m);
  const feed = (sum: CusumState, z: number, limit: number) =>
    feedCusum(sum, share * Math.max(-mostOf, Math.min(mostOf, z)), { k: share * k, h: limit });
  const zeroSignal = feed(zero, commonShift_m(state, trips) / unit_m, h);
  if (zero.up === 0 && zero.down === 0) state.awayFrom_s = Number.NaN;
  else if (Number.isNaN(state.awayFrom_s)) state.awayFrom_s = trips.time_s;
  const ofSpan = spanChange(state, trips);
  const spanSignal = feed(span, ofSpan / leastOfSpan(state, trips.uSampling_m), h);
  // What the pump's rate shares with it is no float tied elsewhere: learned anew, a span that goes off slowly would never show.
  const ofFloats_m = swingChange_m(state, trips) - ofSpan * (state.start_m - state.stop_m);
  const swingSignal = feed(swing, ofFloats_m / (Math.SQRT2 * unit_m), hSwing);
  const spanMoved = spanSignal !== null || (zeroSignal !== null && Math.max(span.up, span.down) > h / 4);
  const returned = spanMoved && isReturnedWater(state, latestShift(state).span_share);
  // Water that runs back moves the stop alone: what start and stop share is the zero's all the same.
  if (returned) holdAtLimit(span);
  if (spanMoved && !returned) {
    begin(state, "span-drift", spanSignal?.side === "up" ? span.upFor : Math.max(span.upFor, span.downFor));
  } else if (zeroSignal !== null) {
    const since = zeroSignal.side === "up" ? zero.upFor : zero.downFor;
    const shift_m = Math.abs(latestShift(state).shift_m);
    const ofTheDay = shift_m < mostOfDay * unit_m && !(trips.time_s - state.awayFrom_s > day_s);
    if (!ofTheDay) begin(state, isStep(state, since) ? "re-zeroed" : "zero-drift", since);
  } else if (swingSignal !== null && !returned) state.learnedFrom = 0;
  else refine(state, trips, unit_m);
}

/** While it is water that runs back; the sum falls as soon as that is over. */
function holdAtLimit(span: CusumState): void {
  span.up = Math.min(span.up, h);
  span.down = Math.min(span.down, h);
}

function begin(state: TripLevelsState, problem: TripProblem, since: number): void {
  const first = state.recent[Math.max(0, state.recent.length - since)];
  state.drift = { problem, since_s: first?.time_s ?? Number.NaN, ...latestShift(state, Math.min(few, since)) };
  // What was set anew is taken as it is now; until that is learned, it is said.
  if (problem === "re-zeroed") state.learnedFrom = 0;
}

/** While a drift is open: how far it has come, whether it is over, whether someone has set the sensor anew. */
export function followDrift(state: TripLevelsState, { problem, since_s }: TripDrift): void {
  const latest = latestShift(state);
  state.drift = { problem, since_s, ...latest };
  const unit_m = unitOf_m(state, 0);
  const back =
    problem === "span-drift"
      ? Math.abs(latest.span_share) < leastShare / 2 || isReturnedWater(state, latest.span_share)
      : Math.abs(latest.shift_m) < unit_m / 2;
  if (back) {
    state.drift = null;
    // Those before were read while it lasted.
    state.recent = state.recent.slice(-few);
    state.zero = newCusum();
    state.span = newCusum();
    state.swing = newCusum();
    return;
  }
  const earlier_m = medianInPlace(shifts_m(state, state.recent.slice(-2 * few, -few)));
  if (problem === "zero-drift" && Math.abs(latest.shift_m - earlier_m) > 2 * unit_m) begin(state, "re-zeroed", few);
}

/** A drift comes by and by; what is nearly all there from the first cycle on was set, or moved. */
function isStep(state: TripLevelsState, since: number): boolean {
  const onset = state.recent.length - since;
  if (onset < few) return since < few;
  const before_m = medianInPlace(shifts_m(state, state.recent.slice(onset - few, onset)));
  const first_m = medianInPlace(shifts_m(state, state.recent.slice(onset, onset + few)));
  return Math.abs(first_m - before_m) > 0.6 * Math.abs(latestShift(state).shift_m);
}

function refine(state: TripLevelsState, trips: Trips, unit_m: number): void {
  const { zero, span, learnedFrom } = state;
  if (learnedFrom > refinedUntil || Math.max(zero.up, zero.down, span.up, span.down) > k) return;
  const part = 1 / learnedFrom;
  const limited = (off: number, most: number) => Math.max(-most, Math.min(most, off));
  state.start_m += part * limited(trips.start_m - state.start_m, unit_m);
  state.stop_m += part * limited(trips.stop_m - state.stop_m, unit_m);
  state.uLearned_m += part * (trips.uSampling_m - state.uLearned_m);
  if (trips.pumpRate_m3s === null) return;
  const most_m3s = leastShare * state.pumpRate_m3s;
  state.pumpRate_m3s += part * limited(trips.pumpRate_m3s - state.pumpRate_m3s, most_m3s);
}

/** What a trip may be off by chance, from those that it is held against. */
export function unitOf_m({ scatterStart_m, scatterStop_m, uLearned_m }: TripLevelsState, uSampling_m: number): number {
  const late_m = wholeInterval * Math.hypot(uSampling_m, uLearned_m);
  return Math.max(leastShift_m, Math.hypot(Math.max(scatterStart_m, scatterStop_m), late_m));
}

/** Floats close to one another are as far apart as ever, though a millimetre of their scatter is much of the distance. */
function leastOfSpan({ start_m, stop_m, scatterStart_m, scatterStop_m }: TripLevelsState, uSampling_m: number): number {
  return Math.max(
    leastShare,
    Math.hypot(scatterStart_m, scatterStop_m, wholeInterval * uSampling_m) / (start_m - stop_m),
  );
}

function latestShift(state: TripLevelsState, cycles = few): Pick<TripDrift, "shift_m" | "span_share"> {
  const latest = state.recent.slice(-cycles);
  return {
    shift_m: medianInPlace(shifts_m(state, latest)),
    span_share: medianInPlace(latest.map((trips) => swingChange_m(state, trips))) / (state.start_m - state.stop_m),
  };
}

function shifts_m(state: TripLevelsState, several: readonly Trips[]): number[] {
  return several.map((trips) => commonShift_m(state, trips));
}

function commonShift_m({ start_m, stop_m }: TripLevelsState, trips: Trips): number {
  return common(trips.start_m - start_m, trips.stop_m - stop_m);
}

function swingChange_m({ start_m, stop_m }: TripLevelsState, trips: Trips): number {
  return trips.start_m - trips.stop_m - (start_m - stop_m);
}

function spanChange(state: TripLevelsState, trips: Trips): number {
  if (!(trips.pumpRate_m3s !== null && trips.pumpRate_m3s > 0 && state.pumpRate_m3s > 0)) return 0;
  const change = common(
    swingChange_m(state, trips) / (state.start_m - state.stop_m),
    trips.pumpRate_m3s / state.pumpRate_m3s - 1,
  );
  return Math.abs(change) > mostOfSpan ? 0 : change;
}

/** What two changes have in common: the smaller one, if they go the same way. */
function common(a: number, b: number): number {
  if (a > 0 !== b > 0) return 0;
  return Math.abs(a) < Math.abs(b) ? a : b;
}
