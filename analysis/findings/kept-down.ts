// Water that stays down under where runs stop although it should rise: without a signal of the pump, the level alone then
// tells that the pump runs on.

import { beyondPumps_m } from "../readings/out-of-water.ts";
import { medianInPlace } from "../statistics/median.ts";

export interface KeptDownState {
  /** Where the latest runs stopped; NaN before that is known. */
  stop_m: number;
  /** When the water was last no lower than that. */
  above_s: number;
  /** Since when it has been clearly under it, pumped there; NaN while it is not. */
  from_s: number;
  /** Under this it is clearly so. */
  line_m: number;
  lowest_m: number;
  /** To where, and when, it sank last by more than noise: a pump that finds water lowers it on. */
  sankTo_m: number;
  sankAt_s: number;
  /** It has not risen as it does at rest, for long enough. */
  kept: boolean;
  /** … at some time since the latest run was seen to begin: what looks like a rest is none. */
  inThisRest: boolean;
}

const nowhere = { from_s: Number.NaN, line_m: Number.NaN, lowest_m: Number.NaN };
const up = { ...nowhere, sankTo_m: Number.NaN, sankAt_s: Number.NaN, kept: false };

export function newKeptDown(): KeptDownState {
  return { stop_m: Number.NaN, above_s: Number.NaN, ...up, inThisRest: false };
}

/** Clearly under where runs stop: by more than floats scatter, and so many standard deviations; common practice, no source. */
export const under_m = 0.01;
export const underDeviations = 4;
/** A pump has drawn it there within this time; what dries out takes far longer. */
export const drawnWithin_s = 120;
/** Fewer runs do not show where they stop. */
const fewestStops = 3;
/** By so much the water would have risen at rest … */
export const wouldRise_m = 0.02;
const riseDeviations = 8;
/** … in no less time than this, for a float may hang for a minute … */
export const leastTime_s = 120;
/** … and it has risen by less than this share of it. */
export const hasRisen = 0.25;
/** A pump that runs lowers the water by more than this within that time, however slowly. Judgement, no source. */
const sinks_m = 0.002;
/** So much over its lowest it rises again: the pump has stopped. */
export const risesAgain_m = 0.01;

/**
 * Takes where the latest runs stopped, and where they are stated to; null where nothing is stated. The lower counts: in a
 * storm the stops of short runs that are read off the level come out too high. Stops that scatter, of runs with hardly a
 * reading, may lie as far under their lower quarter as that lies under the middle.
 */
export function noteStops(state: KeptDownState, stops_m: number[], stated_m: number | null): void {
  // The run that has drawn the water down so far is no measure of itself.
  if (!Number.isNaN(state.from_s)) return;
  if (stops_m.length < fewestStops) {
    state.stop_m = Number.NaN;
    return;
  }
  const middle_m = medianInPlace(stops_m);
  const quarter_m = stops_m.sort((a, b) => a - b)[stops_m.length >> 2] ?? middle_m;
  state.stop_m = Math.min(2 * quarter_m - middle_m, stated_m ?? Number.POSITIVE_INFINITY);
}

/**
 * Takes the newest level, of a basin whose pump is watched by the level alone.
 *
 * @param rise_ms how fast the water rose at the end of the latest rest; null when that is not known
 * @param calls   the pump's own float says that it calls for pumping: with the water so far down it hangs, however slowly the
 *                water would rise
 */
export function noteKeptDown(
  state: KeptDownState,
  time_s: number,
  level_m: number,
  noise_m: number,
  rise_ms: number | null,
  calls = false,
): void {
  if (!(level_m < state.stop_m)) state.above_s = time_s;
  if (Number.isNaN(state.from_s)) {
    begin(state, time_s, level_m, noise_m);
    return;
  }
  state.lowest_m = Math.min(state.lowest_m, level_m);
  const risen_m = level_m - state.lowest_m;
  const rises = !calls && risen_m > Math.max(risesAgain_m, underDeviations * noise_m);
  if (level_m > state.line_m || rises) {
    Object.assign(state, up);
    return;
  }
  if (level_m < state.sankTo_m - Math.max(sinks_m, underDeviations * noise_m))
    Object.assign(state, { sankTo_m: level_m, sankAt_s: time_s });
  const since_s = time_s - state.from_s;
  if (state.kept || since_s < leastTime_s) return;
  const expected_m = rise_ms === null ? 0 : rise_ms * since_s;
  const shows = expected_m >= Math.max(wouldRise_m, riseDeviations * noise_m) && risen_m < hasRisen * expected_m;
  const hangs = calls && time_s - state.sankAt_s >= leastTime_s;
  state.kept = (shows || hangs) && level_m > Math.max(beyondPumps_m, underDeviations * noise_m);
  if (state.kept) state.inThisRest = true;
}

/** After a gap nobody knows how the water came down; what was told stays until the level says otherwise. */
export function forgetDescent(state: KeptDownState): void {
  state.above_s = Number.NaN;
  if (!state.kept) Object.assign(state, up);
}

function begin(state: KeptDownState, time_s: number, level_m: number, noise_m: number): void {
  const line_m = state.stop_m - Math.max(under_m, underDeviations * noise_m);
  if (!(level_m < line_m && time_s - state.above_s <= drawnWithin_s)) return;
  Object.assign(state, { from_s: time_s, line_m, lowest_m: level_m, sankTo_m: level_m, sankAt_s: time_s });
}
