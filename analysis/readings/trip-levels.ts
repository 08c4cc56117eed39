// The levels at which the pump's float closes and opens, learned cycle by cycle, and with them the level sensor watched:
// floats trip at the same water each time, so that trips which move together in the readings are the sensor's drift.
//
// One trip alone may move for many reasons: a fast rise between two readings, a run begun by hand, a float tied higher.
// So a shift of the zero is what both trips share, and a change of the span is what the distance between them shares
// with what the pump seems to move: a float that was tied elsewhere changes the distance and not the pump.

import { type CusumState, feedCusum, newCusum } from "../statistics/cusum.ts";
import { medianInPlace } from "../statistics/median.ts";

/** The two trips of one cycle, freed of what the water rose until they were seen. */
export interface Trips {
  readonly time_s: number;
  readonly start_m: number;
  readonly stop_m: number;
  /** Standard uncertainty of either, from the time between readings. */
  readonly uSampling_m: number;
  /** What the pump seemed to move, by the same sensor; null if unknown. */
  readonly pumpRate_m3s: number | null;
}

export type TripProblem = "zero-drift" | "span-drift" | "re-zeroed";

export interface TripDrift {
  readonly problem: TripProblem;
  readonly since_s: number;
  /** By how much both trips have moved, and the distance between them, as a share. */
  readonly shift_m: number;
  readonly span_share: number;
}

export interface TripLevelsState {
  /** The usual trips; NaN until they are learned. */
  start_m: number;
  stop_m: number;
  pumpRate_m3s: number;
  /** Mean |difference| between a trip and the one before, over 1.128: the scatter of one trip, its drift left out. */
  scatterStart_m: number;
  scatterStop_m: number;
  /** Cycles since the usual trips were begun to be learned. */
  learnedFrom: number;
  /** The latest cycles, oldest first. */
  recent: Trips[];
  zero: CusumState;
  span: CusumState;
  swing: CusumState;
  /** Since when the trips have been away from the usual ones; NaN while they are not. */
  awayFrom_s: number;
  drift: TripDrift | null;
}

export function newTripLevels(): TripLevelsState {
  return {
    start_m: Number.NaN,
    stop_m: Number.NaN,
    pumpRate_m3s: Number.NaN,
    scatterStart_m: 0,
    scatterStop_m: 0,
    learnedFrom: 0,
    recent: [],
    zero: newCusum(),
    span: newCusum(),
    swing: newCusum(),
    awayFrom_s: Number.NaN,
    drift: null,
  };
}

/** Cycles that teach the usual trips, and how many refine them while nothing points to a shift. */
const learnedAfter = 12;
const refinedUntil = 48;
const kept = 40;
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
/** E|x − y| of two normal values of unit scatter, 2/√π. */
const meanDifference = 1.128;

/** Takes the trips of the next cycle. */
export function noteTrips(state: TripLevelsState, trips: Trips): void {
  if (!(trips.start_m > trips.stop_m) || !Number.isFinite(trips.start_m - trips.stop_m + trips.uSampling_m)) return;
  const before = state.recent[state.recent.length - 1];
  state.recent.push(trips);
  if (state.recent.length > kept) state.recent.shift();
  state.learnedFrom += 1;
  if (state.learnedFrom < learnedAfter) return;
  if (state.learnedFrom === learnedAfter) {
    learn(state);
    return;
  }
  if (before !== undefined) noteScatter(state, before, trips);
  if (state.drift === null) watch(state, trips, before);
  else follow(state, state.drift);
}

/** The usual trips and their scatter; null until they are learned. */
export function usualTrips(state: TripLevelsState) {
  const { start_m, stop_m, scatterStart_m, scatterStop_m, learnedFrom } = state;
  if (Number.isNaN(start_m)) return null;
  return { start_m, stop_m, scatterStart_m, scatterStop_m, cycles: learnedFrom };
}

/** Few cycles show the trips to some millimetres. */
const firstSeen = 4;

/** Where the float trips by the latest readings, and by how much the water rose between two of them; null before a few cycles. */
export function seenTrips(state: TripLevelsState) {
  const { recent, drift } = state;
  if (recent.length < firstSeen) return null;
  const usual = usualTrips(state) ?? {
    start_m: median(recent.map(({ start_m }) => start_m)),
    stop_m: median(recent.map(({ stop_m }) => stop_m)),
  };
  const moved_m = drift?.shift_m ?? 0;
  return {
    start_m: usual.start_m + moved_m,
    stop_m: usual.stop_m + moved_m,
    blur_m: wholeInterval * median(recent.map(({ uSampling_m }) => uSampling_m)),
  };
}

/** Standard deviation of one trip, of start and stop alike; null until it is learned. */
export function scatterOfTrips_m(state: TripLevelsState): number | null {
  const usual = usualTrips(state);
  return usual === null ? null : Math.hypot(usual.scatterStart_m, usual.scatterStop_m) / Math.SQRT2;
}

function learn(state: TripLevelsState): void {
  const trips = state.recent.slice(-learnedAfter);
  state.start_m = median(trips.map(({ start_m }) => start_m));
  state.stop_m = median(trips.map(({ stop_m }) => stop_m));
  state.pumpRate_m3s = median(trips.flatMap(({ pumpRate_m3s }) => pumpRate_m3s ?? []));
  state.scatterStart_m = differences(trips.map(({ start_m }) => start_m)) / meanDifference;
  state.scatterStop_m = differences(trips.map(({ stop_m }) => stop_m)) / meanDifference;
  state.drift = null;
  state.zero = newCusum();
  state.span = newCusum();
  state.swing = newCusum();
}

function watch(state: TripLevelsState, trips: Trips, before: Trips | undefined): void {
  const { zero, span, swing } = state;
  const share = Math.min(1, (trips.time_s - (before?.time_s ?? Number.NEGATIVE_INFINITY)) / standsFor_s);
  const unit_m = unitOf_m(state, trips.uSampling_m);
  const feed = (sum: CusumState, z: number, limit: number) =>
    feedCusum(sum, share * Math.max(-mostOf, Math.min(mostOf, z)), { k: share * k, h: limit });
  const zeroSignal = feed(zero, commonShift_m(state, trips) / unit_m, h);
  if (zero.up === 0 && zero.down === 0) state.awayFrom_s = Number.NaN;
  else if (Number.isNaN(state.awayFrom_s)) state.awayFrom_s = trips.time_s;
  const ofSpan = spanChange(state, trips);
  const spanSignal = feed(span, ofSpan / leastShare, h);
  // What the pump's rate shares with it is no float tied elsewhere: learned anew, a span that goes off slowly would never show.
  const ofFloats_m = swingChange_m(state, trips) - ofSpan * (state.start_m - state.stop_m);
  const swingSignal = feed(swing, ofFloats_m / (Math.SQRT2 * unit_m), hSwing);
  if (spanSignal !== null || (zeroSignal !== null && Math.max(span.up, span.down) > h / 4)) {
    begin(state, "span-drift", spanSignal?.side === "up" ? span.upFor : Math.max(span.upFor, span.downFor));
  } else if (zeroSignal !== null) {
    const since = zeroSignal.side === "up" ? zero.upFor : zero.downFor;
    const shift_m = Math.abs(latestShift(state).shift_m);
    const ofTheDay = shift_m < mostOfDay * unit_m && !(trips.time_s - state.awayFrom_s > day_s);
    if (!ofTheDay) begin(state, isStep(state, since) ? "re-zeroed" : "zero-drift", since);
  } else if (swingSignal !== null) state.learnedFrom = 0;
  else refine(state, trips, unit_m);
}

function begin(state: TripLevelsState, problem: TripProblem, since: number): void {
  const first = state.recent[Math.max(0, state.recent.length - since)];
  state.drift = { problem, since_s: first?.time_s ?? Number.NaN, ...latestShift(state, Math.min(few, since)) };
  // What was set anew is taken as it is now; until that is learned, it is said.
  if (problem === "re-zeroed") state.learnedFrom = 0;
}

/** While a drift is open: how far it has come, whether it is over, whether someone has set the sensor anew. */
function follow(state: TripLevelsState, { problem, since_s }: TripDrift): void {
  const latest = latestShift(state);
  state.drift = { problem, since_s, ...latest };
  const unit_m = unitOf_m(state, 0);
  const back =
    problem === "span-drift" ? Math.abs(latest.span_share) < leastShare / 2 : Math.abs(latest.shift_m) < unit_m / 2;
  if (back) {
    state.drift = null;
    state.zero = newCusum();
    state.span = newCusum();
    state.swing = newCusum();
    return;
  }
  const earlier_m = median(shifts_m(state, state.recent.slice(-2 * few, -few)));
  if (problem === "zero-drift" && Math.abs(latest.shift_m - earlier_m) > 2 * unit_m) begin(state, "re-zeroed", few);
}

/** A drift comes by and by; what is nearly all there from the first cycle on was set, or moved. */
function isStep(state: TripLevelsState, since: number): boolean {
  const onset = state.recent.length - since;
  if (onset < few) return since < few;
  const before_m = median(shifts_m(state, state.recent.slice(onset - few, onset)));
  const first_m = median(shifts_m(state, state.recent.slice(onset, onset + few)));
  return Math.abs(first_m - before_m) > 0.6 * Math.abs(latestShift(state).shift_m);
}

function refine(state: TripLevelsState, trips: Trips, unit_m: number): void {
  const { zero, span, learnedFrom } = state;
  if (learnedFrom > refinedUntil || Math.max(zero.up, zero.down, span.up, span.down) > k) return;
  const part = 1 / learnedFrom;
  const limited = (off: number, most: number) => Math.max(-most, Math.min(most, off));
  state.start_m += part * limited(trips.start_m - state.start_m, unit_m);
  state.stop_m += part * limited(trips.stop_m - state.stop_m, unit_m);
  if (trips.pumpRate_m3s === null) return;
  const most_m3s = leastShare * state.pumpRate_m3s;
  state.pumpRate_m3s += part * limited(trips.pumpRate_m3s - state.pumpRate_m3s, most_m3s);
}

function noteScatter(state: TripLevelsState, before: Trips, now: Trips): void {
  const most_m = 4 * unitOf_m(state, 0);
  const step = (scatter_m: number, difference_m: number) =>
    scatter_m + (Math.min(most_m, Math.abs(difference_m)) / meanDifference - scatter_m) / 32;
  state.scatterStart_m = step(state.scatterStart_m, now.start_m - before.start_m);
  state.scatterStop_m = step(state.scatterStop_m, now.stop_m - before.stop_m);
}

/** Between readings far apart the water rises alike in all cycles of a storm: no chance that averages out, but a whole interval. */
const wholeInterval = Math.sqrt(12);

function unitOf_m({ scatterStart_m, scatterStop_m }: TripLevelsState, uSampling_m: number): number {
  return Math.max(leastShift_m, Math.hypot(Math.max(scatterStart_m, scatterStop_m), wholeInterval * uSampling_m));
}

function latestShift(state: TripLevelsState, cycles = few): Pick<TripDrift, "shift_m" | "span_share"> {
  const latest = state.recent.slice(-cycles);
  return {
    shift_m: median(shifts_m(state, latest)),
    span_share: median(latest.map((trips) => swingChange_m(state, trips))) / (state.start_m - state.stop_m),
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

function differences(values: readonly number[]): number {
  const apart = values.slice(1).map((value, i) => Math.abs(value - (values[i] ?? value)));
  // A median of |difference| is 0.845 of their mean; one run begun by hand does not move it.
  return median(apart) / 0.845;
}

function median(values: number[]): number {
  return medianInPlace(values);
}
