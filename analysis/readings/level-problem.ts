// What is told of the level sensor: the level that findings are judged by, its noise, and what is wrong with it.

import { medianInPlace, medianOfFive, medianOfThree } from "../statistics/median.ts";
import { closelyRead_s } from "./closely-read.ts";
import type { LevelScreenState } from "./level-screen-state.ts";
import { stillFor_s } from "./levels-by-change.ts";
import { isOutOfWater } from "./out-of-water.ts";
import { noiseOf_m } from "./roughness.ts";

export type LevelProblem = "frozen" | "out-of-range" | "dropping-out" | "out-of-water" | "implausible";

/** A sensor that is lifted out for a look hangs in the water again by then; common practice, no source. */
export const toldOutOfWaterAfter_s = 600;
/** Nearly all readings carry a level; lately fewer than this do. */
const nearlyAllRows = 0.9;
export const fewRows = 0.75;
/** More than single codes for a failed measurement. */
export const manyOut = 0.03;
/** Water in a basin does not toss by as much, nor does a sensor that sees it (standard deviation); common practice, no source. */
export const mostNoise_m = 0.03;

/** A sensor that has said nothing for longer drops out. @param long_s an interval that one in twenty exceeds */
export function silentAfter_s(screen: LevelScreenState, long_s = screen.long_s): number {
  const still_s = stillFor_s(screen);
  return still_s > 0 ? still_s : Math.max(60, 5 * long_s);
}

/** Standard deviation of one level about a smooth course. */
export function levelNoise_m(state: LevelScreenState): number {
  return noiseOf_m(state.roughness_m);
}

/** What is wrong with the level sensor at `time_s`, if anything. */
export function levelProblem(state: LevelScreenState, time_s: number): LevelProblem | null {
  if (!state.seen) return null;
  if (state.outOfRange || state.outShare > manyOut) return "out-of-range";
  if (state.frozen) return "frozen";
  if (time_s - state.outOfWater.since_s >= toldOutOfWaterAfter_s) return "out-of-water";
  if (time_s - state.last_s > silentAfter_s(state) || state.silences > 5) return "dropping-out";
  if (state.rowShare > nearlyAllRows && state.lateRowShare < fewRows) return "dropping-out";
  if (state.interval_s <= closelyRead_s && levelNoise_m(state) > mostNoise_m) return "implausible";
  return state.wildShare > implausiblyWild ? "implausible" : null;
}

const implausiblyWild = 0.1;

/** So many levels have lately been wild that starts and stops that are read off them may be none, be it a fault yet or not. */
export function maybeTosses({ wildShare }: LevelScreenState): boolean {
  return wildShare > implausiblyWild / 2;
}

/** Median of the last five levels (three where they come slowly): what findings are judged by. Null without any. */
export function steadyLevel_m(state: LevelScreenState): number | null {
  const { recent_m, recent } = state;
  const wanted = state.interval_s > closelyRead_s ? 3 : 5;
  const c = recent_m[2] as number;
  const d = recent_m[3] as number;
  const e = recent_m[4] as number;
  if (wanted === 3 && recent >= 3) return medianOfThree(c, d, e);
  if (recent === 5) return medianOfFive(recent_m[0] as number, recent_m[1] as number, c, d, e);
  return recent === 0 ? null : medianInPlace(recent_m.slice(-recent));
}

/** Water that goes up and down between five readings turns by less, unless the pump has drawn it down; common practice, no source. */
export const mostTurn_m = 0.1;

/**
 * The steady level; where the latest five toss about by more than water can, the lowest of them. Where they come closely, one
 * spike down among them must not do: what is left without the one that turns most has to toss about, too. Null without any.
 */
export function leastLevel_m(state: LevelScreenState): number | null {
  const { recent_m, recent, interval_s } = state;
  if (recent < 5) return steadyLevel_m(state);
  const turns = sharpestTurn(recent_m);
  if (!(turns.by_m > mostTurn_m)) return steadyLevel_m(state);
  const tosses =
    interval_s > closelyRead_s || sharpestTurn(recent_m.filter((_, i) => i !== turns.at)).by_m > mostTurn_m;
  return tosses ? Math.min(...recent_m) : steadyLevel_m(state);
}

/** Where in a row of levels one lies farthest off those beside it, and by how much: a second difference. */
function sharpestTurn(levels_m: Float64Array): { readonly at: number; readonly by_m: number } {
  let at = 0;
  let by_m = 0;
  for (let i = 1; i < levels_m.length - 1; i += 1) {
    const beside_m = (levels_m[i - 1] as number) + (levels_m[i + 1] as number);
    const turn_m = Math.abs(beside_m - 2 * (levels_m[i] as number));
    if (turn_m > by_m) [at, by_m] = [i, turn_m];
  }
  return { at, by_m };
}

/** The level that stands now; null where the sensor has told none for a while, or none that could be one. */
export function presentLevel_m(state: LevelScreenState, time_s: number): number | null {
  const { frozen, outOfRange, outShare, outOfWater, last_s } = state;
  const told_s = isOutOfWater(outOfWater) ? outOfWater.since_s : last_s;
  if (frozen || (outOfRange && outShare > manyOut) || time_s - told_s > silentAfter_s(state)) return null;
  return steadyLevel_m(state);
}

/** So many of five levels hold the median between them. */
export const mostOfFive = 3;

/** The steady level is still that of before a silence, during which the water may have gone anywhere. */
export function steadyIsOld({ sinceSilence, recent }: LevelScreenState): boolean {
  return sinceSilence < Math.min(mostOfFive, recent);
}

/** How far the steady level lags behind water that rises or falls evenly. */
export function steadyLag_s(state: LevelScreenState): number {
  return (state.interval_s > closelyRead_s ? 1 : 2) * (Number.isFinite(state.long_s) ? state.long_s : 0);
}
