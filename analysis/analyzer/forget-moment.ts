// What held before a gap need not hold after it.

import type { AnalyzerState } from "../analyzer-state.ts";
import { newLevelRuns } from "../cycles/by-level/level-runs-state.ts";
import { forgetRow } from "../cycles/by-signal/asked-seldom.ts";
import { newContactWatch } from "../cycles/by-signal/lying-contact.ts";
import { newAtStop } from "../findings/at-stop.ts";
import { forgetPending } from "../findings/finding-book.ts";
import { forgetDescent } from "../findings/kept-down.ts";
import { leaveOverStart } from "../findings/over-start.ts";
import { forgetRuns } from "../readings/channel-watch.ts";
import { forgetRecentLevels } from "../readings/level-screen.ts";
import { restartTrend } from "../readings/trend.ts";

/** Forgets the state of channels and pump, and what leads up to now; what was learned stays. */
export function forgetMoment(state: AnalyzerState): void {
  state.floatOn = null;
  state.highFloat = null;
  state.mainsOn = null;
  state.temperature_c = null;
  forgetPending(state.book);
  state.pumpRunning = null;
  state.pumpSince_s = null;
  state.shadow = newLevelRuns();
  Object.assign(state.contact, newContactWatch());
  forgetRow(state.signalRows);
  forgetRow(state.floatRows);
  // Water that is still down after the gap has been kept there.
  forgetDescent(state.keptDown);
  leaveOverStart(state.overStart);
  // Nor is it known how long it took to come down.
  Object.assign(state.atStop, newAtStop());
  forgetRuns(state.channels);
  forgetRecentLevels(state.screen);
  restartTrend(state.trend);
}
