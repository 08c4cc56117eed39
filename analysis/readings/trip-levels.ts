// The levels at which the pump's float closes and opens, learned cycle by cycle.

import { type CusumState, newCusum } from "../statistics/cusum.ts";
import { medianInPlace } from "../statistics/median.ts";
import { robustMean } from "../statistics/robust-mean.ts";
import { followDrift, type TripDrift, unitOf_m, watchTrips, wholeInterval } from "./trip-drift.ts";

/** The two trips of one cycle, freed of what the water rose until they were seen. */
export interface Trips {
  readonly time_s: number;
  readonly start_m: number;
  readonly stop_m: number;
  /** Standard uncertainty of either, from the time between readings. */
  readonly uSampling_m: number;
  /** What the pump seemed to move, by the same sensor; null if unknown. */
  readonly pumpRate_m3s: number | null;
  /** By how much the water that ran back raised the level after the stop; null or absent where none shows. */
  readonly returned_m?: number | null;
}

export interface TripLevelsState {
  /** The usual trips; NaN until they are learned. */
  start_m: number;
  stop_m: number;
  pumpRate_m3s: number;
  /** Standard uncertainty of the usual trips, all alike, from the time between readings: in a storm they are all seen late. */
  uLearned_m: number;
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
  /** The most by which the span has been found to be off so far, as a share; 0 before it was. */
  spanWasOff: number;
}

export function newTripLevels(): TripLevelsState {
  return {
    start_m: Number.NaN,
    stop_m: Number.NaN,
    pumpRate_m3s: Number.NaN,
    uLearned_m: 0,
    scatterStart_m: 0,
    scatterStop_m: 0,
    learnedFrom: 0,
    recent: [],
    zero: newCusum(),
    span: newCusum(),
    swing: newCusum(),
    awayFrom_s: Number.NaN,
    drift: null,
    spanWasOff: 0,
  };
}

/** Cycles that teach the usual trips. */
const learnedAfter = 12;
const kept = 40;
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
  if (state.drift === null) watchTrips(state, trips, before);
  else followDrift(state, state.drift);
  state.spanWasOff = Math.max(state.spanWasOff, spanOff(state).now);
}

/** The usual trips and their scatter; null until they are learned. */
export function usualTrips(state: TripLevelsState) {
  const { start_m, stop_m, scatterStart_m, scatterStop_m, learnedFrom } = state;
  if (Number.isNaN(start_m)) return null;
  return { start_m, stop_m, scatterStart_m, scatterStop_m, cycles: learnedFrom };
}

/** By what share the span is off, as far as is known, and the most by which it has been. */
export function spanOff({ drift, spanWasOff }: TripLevelsState) {
  return { now: drift?.problem === "span-drift" ? Math.abs(drift.span_share) : 0, most: spanWasOff };
}

/** Few cycles show the trips to some millimetres. */
const firstSeen = 4;
/** A float trips a little higher or lower each time, and the sensor trembles; judgement, no source. */
const uEach_m = 0.002;

/**
 * Where the float trips by the latest readings, with the standard uncertainty of its start, and by how much the water rose
 * between two of those that tell of it; null before a few cycles. A cycle says the less the faster the water rose in it.
 */
export function seenTrips({ recent, drift, start_m, stop_m }: TripLevelsState) {
  if (recent.length < firstSeen) return null;
  const us_m = recent.map(({ uSampling_m }) => Math.hypot(uSampling_m, uEach_m));
  const start = robustMean(
    recent.map((trips) => trips.start_m),
    us_m,
  );
  const stop = robustMean(
    recent.map((trips) => trips.stop_m),
    us_m,
  );
  let [weights, sampling_m] = [0, 0];
  recent.forEach(({ uSampling_m }, i) => {
    const weight = 1 / (us_m[i] as number) ** 2;
    weights += weight;
    sampling_m += weight * uSampling_m;
  });
  return {
    // While the sensor drifts, the latest are spread over its way: then it is by how far it has gone.
    start_m: drift === null ? start.mean : start_m + drift.shift_m,
    stop_m: drift === null ? stop.mean : stop_m + drift.shift_m,
    uStart_m: start.uMean,
    blur_m: (wholeInterval * sampling_m) / weights,
  };
}

/** Of normal values, the median of |deviation| is one standard deviation over so much. */
const medianDeviation = 1.4826;

/**
 * The middle of the latest trips and how most of them scatter about it, whatever the others do: where water pours in, a rest
 * that readings are too far apart to show ends anywhere. Null before a few cycles.
 */
export function middleTrips({ recent }: TripLevelsState) {
  if (recent.length < firstSeen) return null;
  const middleOf = (values: number[]) => {
    const middle_m = medianInPlace(Float64Array.from(values));
    const off_m = medianInPlace(Float64Array.from(values, (value) => Math.abs(value - middle_m)));
    return { middle_m, scatter_m: Math.max(uEach_m, medianDeviation * off_m) };
  };
  return { start: middleOf(recent.map(({ start_m }) => start_m)), stop: middleOf(recent.map(({ stop_m }) => stop_m)) };
}

/** By so many scatters the latest trip lies off the others hardly ever by chance. */
const elsewhere = 4;

/**
 * The same, but that the latest cycle tells where it started clearly lower, or stopped clearly higher: the float hangs elsewhere
 * since, or the sensor was set anew, and what the next cycle misses of the usual trips was no water.
 */
export function tripsByNow(state: TripLevelsState) {
  const middle = middleTrips(state);
  const latest = state.recent.at(-1);
  if (middle === null || latest === undefined) return null;
  const { start, stop } = middle;
  const lower = latest.start_m < start.middle_m - elsewhere * start.scatter_m;
  const higher = latest.stop_m > stop.middle_m + elsewhere * stop.scatter_m;
  return {
    start: lower ? { ...start, middle_m: latest.start_m } : start,
    stop: higher ? { ...stop, middle_m: latest.stop_m } : stop,
  };
}

/** Standard deviation of one trip, of start and stop alike; null until it is learned. */
export function scatterOfTrips_m(state: TripLevelsState): number | null {
  const usual = usualTrips(state);
  return usual === null ? null : Math.hypot(usual.scatterStart_m, usual.scatterStop_m) / Math.SQRT2;
}

function learn(state: TripLevelsState): void {
  const trips = state.recent.slice(-learnedAfter);
  // Those before, if any, are of a float or a zero that is no more.
  state.recent = trips;
  state.start_m = medianInPlace(trips.map(({ start_m }) => start_m));
  state.stop_m = medianInPlace(trips.map(({ stop_m }) => stop_m));
  state.pumpRate_m3s = medianInPlace(trips.flatMap(({ pumpRate_m3s }) => pumpRate_m3s ?? []));
  state.uLearned_m = medianInPlace(trips.map(({ uSampling_m }) => uSampling_m));
  state.scatterStart_m = differences(trips.map(({ start_m }) => start_m)) / meanDifference;
  state.scatterStop_m = differences(trips.map(({ stop_m }) => stop_m)) / meanDifference;
  state.drift = null;
  state.zero = newCusum();
  state.span = newCusum();
  state.swing = newCusum();
}

function noteScatter(state: TripLevelsState, before: Trips, now: Trips): void {
  const most_m = 4 * unitOf_m(state, 0);
  const step = (scatter_m: number, difference_m: number) =>
    scatter_m + (Math.min(most_m, Math.abs(difference_m)) / meanDifference - scatter_m) / 32;
  state.scatterStart_m = step(state.scatterStart_m, now.start_m - before.start_m);
  state.scatterStop_m = step(state.scatterStop_m, now.stop_m - before.stop_m);
}

function differences(values: readonly number[]): number {
  const apart = values.slice(1).map((value, i) => Math.abs(value - (values[i] ?? value)));
  // A median of |difference| is 0.845 of their mean; one run begun by hand does not move it.
  return medianInPlace(apart) / 0.845;
}
