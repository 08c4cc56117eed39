// A reading's level as the screen lets it pass, with what is known beside it: whether the pump rests, and how much it may have
// moved since the reading before.

import type { AnalyzerState } from "../analyzer-state.ts";
import { noSignal, pumpedAtMost_m } from "../cycles/by-signal/signal-and-pump.ts";
import { eitherOn } from "../cycles/two-pumps/pump-sets.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { underRim } from "../readings/level-range.ts";
import { noteBeyondTrips, noteSwitching, screenLevel } from "../readings/level-screen.ts";
import type { LevelRange } from "../readings/level-screen-state.ts";
import { atOnce_m, atOnce_s } from "../readings/out-of-water.ts";
import { usualTrips } from "../readings/trip-levels.ts";
import { forgetSaidAgain } from "./forget-said-again.ts";

/** @returns null where it cannot be a level, or none of this moment */
export function screenedLevel_m(
  state: AnalyzerState,
  geometry: BasinGeometry,
  range: LevelRange,
  time_s: number,
  level_m: number,
  resting: boolean,
): number | null {
  const { screen } = state;
  // What the pump may have moved is asked only where the level has fallen by much.
  const fell = screen.last_m - level_m > atOnce_m;
  // A value that was said again is as old as when it was said first.
  const since_s = screen.repeats > 0 ? screen.repeatsFrom_s : screen.last_s;
  const pumped_m = fell ? pumpedAtMost_m(state, geometry, resting, level_m, time_s - since_s) : undefined;
  const stoodBefore = screen.standing;
  noteSwitching(screen, time_s, noSignal(state) ? null : eitherOn(state.runSignal.on, state.tracker.pumps.secondOn));
  const within = state.highFloat === false ? underRim(range) : range;
  const screened = screenLevel(screen, within, time_s, level_m, pumped_m, noSignal(state) ? null : !resting);
  if (screen.standing && !stoodBefore) forgetSaidAgain(state);
  // By the level alone nobody knows whether the pump made it fall. Of two pumps the water goes on to where the second starts.
  const turns = screen.interval_s > atOnce_s || (screen.interval_s > closelyRead_s && noSignal(state));
  if (screened !== null && turns && state.tracker.pumps.origin === null) {
    const trips = usualTrips(state.tracker.trips);
    if (trips !== null) noteBeyondTrips(screen, trips);
  }
  return screened;
}
