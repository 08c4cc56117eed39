// A level sensor that drifts within hours, as an ultrasonic does with the air, tilts every rest and leaves no trace in it.
// The floats give it away: they trip at the same levels each time, but for a scatter that stop and start do not share. What
// stop levels and the start levels next to them move by together is the sensor's.

/** The volumes at the beginning and the end of the latest rests, oldest first, and fading sums over their changes. */
export interface SensorDriftState {
  readonly first_m3: number[];
  readonly last_m3: number[];
  rests: number;
  /** Squared changes from stop to stop and from start to start, and their products. */
  ofStops: number;
  ofStarts: number;
  both: number;
  /** Products over the time that they take. */
  perSecond: number;
}

/** Most rests over which a change is taken: over more of them the drift stands clearer of the scatter. */
const longest = 4;
/** … as long as they take no more than so long, over which a drift goes on. */
const goesOn_s = 7200;

export function newSensorDrift(): SensorDriftState {
  return {
    first_m3: Array.from({ length: longest + 1 }, () => Number.NaN),
    last_m3: Array.from({ length: longest + 1 }, () => Number.NaN),
    rests: 0,
    ofStops: 0,
    ofStarts: 0,
    both: 0,
    perSecond: 0,
  };
}

/** Share of the past that counts on at every new rest. */
const keeps = 0.985;
/** A change of so many standard deviations is something else, from which on levels are compared anew. */
const most = 5;
const fewestForMost = 4;
/** Changes that follow each other share a level, by which so many tell as much as one that stands alone. */
const likeOne = 1.5;
/** Standard deviations by which the changes must go together; fewer where the residuals or the bends wander too. */
const clear = 3;
const clearWithOthers = 1.3;

/**
 * Takes in the next rest's volumes; null for one that was not seen as a whole. Of the change from stop to stop over some
 * rests and that from start to start beside it, scatter shares nothing: the mean of their product is the drift's variance
 * over that time.
 */
export function learnDrift(
  state: SensorDriftState,
  first_m3: number | null,
  last_m3: number | null,
  duration_s: number,
): void {
  const { first_m3: first, last_m3: last } = state;
  const over = Math.max(1, Math.min(longest, Math.floor(goesOn_s / duration_s)));
  first.push(first_m3 ?? Number.NaN);
  first.shift();
  const ofStops = (first[longest] ?? 0) - (first[longest - over] ?? 0);
  const ofStarts = (last[longest] ?? 0) - (last[longest - over] ?? 0);
  last.push(last_m3 ?? Number.NaN);
  last.shift();
  if (!Number.isFinite(ofStops * ofStarts)) return;
  if (tooFar(state.rests, state.ofStops, ofStops) || tooFar(state.rests, state.ofStarts, ofStarts)) {
    first.fill(Number.NaN, 0, longest);
    last.fill(Number.NaN, 0, longest);
    return;
  }
  state.rests = keeps * state.rests + 1;
  state.ofStops = keeps * state.ofStops + ofStops ** 2;
  state.ofStarts = keeps * state.ofStarts + ofStarts ** 2;
  state.both = keeps * state.both + ofStops * ofStarts;
  state.perSecond = keeps * state.perSecond + (ofStops * ofStarts) / (over * duration_s);
}

function tooFar(rests: number, squares: number, change: number): boolean {
  return rests >= fewestForMost && change ** 2 > (most ** 2 * squares) / rests;
}

/**
 * Variance that the sensor's drift adds to the rise over a rest, in m⁶ for each second; 0 where the changes do not clearly
 * go together, by Fisher's transformation of their correlation (1921).
 *
 * @param wanders rests by themselves have shown an error that wanders
 */
export function driftPerSecond(
  { rests, ofStops, ofStarts, both, perSecond }: SensorDriftState,
  wanders: boolean,
): number {
  const independent = rests / likeOne - 3;
  if (!(independent > 0 && perSecond > 0)) return 0;
  const correlation = both / Math.sqrt(ofStops * ofStarts);
  const together = Math.atanh(Math.min(0.999, correlation)) * Math.sqrt(independent);
  return together > (wanders ? clearWithOthers : clear) ? perSecond / rests : 0;
}
