// The run under way, as the rules look at it: how it began, what it moves, how the level goes; and whether the water is
// over where runs start.

import type { AnalyzerState } from "../analyzer-state.ts";
import { isBlocked, signalDoubted } from "../cycles/by-signal/signal-and-pump.ts";
import { readEvery_s } from "../cycles/cadence.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { steadyLag_s } from "../readings/level-problem.ts";
import { latestFall_ms, levelTrend_ms } from "../readings/trend.ts";
import type { Site } from "../site.ts";
import { noteFlatOut } from "./flat-out.ts";
import { dwell_s, isClearlyDown } from "./float-stuck-on.ts";
import { uRate_ms } from "./inflow-while-running.ts";
import { noteMostRun } from "./most-run.ts";
import type { View } from "./rule.ts";

/** A minute's rise shows only in readings closer together than this. */
export const minuteNeeds_s = 15;
export const overStart_m = 0.03;
/** A storm that breaks in the last seconds before a start lifts the level above its course until the pump is up to speed. */
const start_s = 3;
const aboveCourse_m = 0.005;
const underStart_m = 0.015;
/** A rise of millimetres a minute shows over this. */
export const longRise_s = 300;
/** So long the water must have risen as at rest for readings far apart to say that nothing is moved. */
export const risesOn_s = 540;
/** Of a site file whose levels are 50 mm off no start may have shown where the float trips. */
export const farOver_m = 0.08;
export const farOverFor_s = 120;
const mostOver_s = 600;
/** The trend of a rest is not its own before. */
const restShows_s = 12;

export interface RunWatch {
  /** What the pump moves now, by the level's trend; null where that is not known. */
  dischargeNow_m3s(level_m: number | null): number | null;
  noteRun(time_s: number, level_m: number | null): void;
  noteLongRun(time_s: number): void;
  riseInLongRun_m(time_s: number, level_m: number | null): number | null;
  riseOverFloats_m(time_s: number, level_m: number | null): number | null;
  risenShare(time_s: number, level_m: number | null): number | null;
  noteBusy(time_s: number): void;
  isNoStuckSignal(level_m: number | null): boolean;
  inflowAtRest_m3s(level_m: number | null): number | null;
  isOverStart(level_m: number | null): boolean;
}

/** @param view what is true at the newest reading, as far as it has been filled in when a method is called */
export function watchRun(site: Site, geometry: BasinGeometry, state: AnalyzerState, view: View): RunWatch {
  const { basin } = site;
  const active_m3 = activeVolume_m3(site, geometry);

  function dischargeNow_m3s(level_m: number | null): number | null {
    const rate_ms = levelTrend_ms(state.trend);
    const { endInflow } = state.tracker;
    if (state.pumpRunning !== true || level_m === null || rate_ms === null || endInflow === null) return null;
    return endInflow.flow_m3s - rate_ms * geometry.area_m2(level_m);
  }

  /** How the run under way began, and the most that it has moved. */
  function noteRun(time_s: number, level_m: number | null): void {
    if (state.pumpRunning !== true || level_m === null) return;
    const { restCourse } = state;
    // Freed of spikes, the level lags a little behind water that rises fast.
    if (view.pumpStateFor_s === 0) state.startedLow = level_m < startsAt_m();
    else if (level_m >= startsAt_m() && view.pumpStateFor_s <= Math.max(start_s, steadyLag_s(state.screen)))
      state.startedLow = false;
    if (restCourse !== null && view.pumpStateFor_s <= start_s) {
      const above_m = level_m - restCourse.level_m - restCourse.rate_ms * (time_s - restCourse.time_s);
      if (above_m > Math.max(aboveCourse_m, 6 * view.levelNoise_m)) state.roseBeforeStart = true;
    }
    const fall_ms = latestFall_ms(state.trend);
    const { endInflow } = state.tracker;
    if (fall_ms === null || endInflow === null) return;
    const now_m3s = endInflow.flow_m3s + fall_ms * geometry.area_m2(level_m);
    state.bestInRun_m3s = Math.max(now_m3s, state.bestInRun_m3s ?? now_m3s);
  }

  function noteLongRun(time_s: number): void {
    const { level_m, pumpRate, dischargeNow_m3s, pumpRunning, pumpInferred } = view;
    if (pumpRunning !== true || pumpInferred || level_m === null || state.pumpSince_s === null) return;
    noteFlatOut(state, geometry, sameSince_s(state.pumpSince_s), time_s, level_m, {
      pumpRate_m3s: pumpRate?.flow_m3s ?? null,
      discharge_m3s: dischargeNow_m3s,
      uDischarge_m3s: uRate_ms(view.levelNoise_m, Math.min(60, view.pumpStateFor_s)) * geometry.area_m2(level_m),
      best_m3s: state.bestInRun_m3s,
      startsAt_m: view.startTrip_m === null ? Number.NaN : startsAt_m(),
      lag_s: steadyLag_s(state.screen),
    });
  }

  /** By what is noted about every minute, which readings further apart and noise hide less than a minute's rise. */
  function riseInLongRun_m(time_s: number, level_m: number | null): number | null {
    const from = state.flatOut.marks[0];
    if (view.pumpRunning !== true || view.pumpInferred || from === undefined || level_m === null) return null;
    if (state.cadence.long_s > minuteNeeds_s) return riseFarOver_m(level_m, time_s, state.pumpSince_s ?? time_s);
    const seen = from.time_s >= sameSince_s(state.pumpSince_s ?? time_s) && time_s - from.time_s >= longRise_s;
    return seen && isNoStuckSignal(level_m) ? level_m - from.level_m : null;
  }

  /** Since when the same pumps run: what has risen before the second joined in, both together may well bring down. */
  function sameSince_s(since_s: number): number {
    const { origin, setAt_s } = state.tracker.pumps;
    return origin === null ? since_s : Math.max(since_s, setAt_s);
  }

  /**
   * Read more seldom, two readings of a run may be of two, but for water that stays so far over where the float trips that
   * the pump must have run on.
   */
  function riseFarOver_m(level_m: number, time_s: number, since_s: number): number | null {
    const over_m = (view.startTrip_m ?? Number.POSITIVE_INFINITY) + farOver_m;
    const from = state.flatOut.marks.find((mark) => mark.level_m > over_m);
    if (from === undefined || from.time_s < since_s || time_s - from.time_s < farOverFor_s) return null;
    return level_m - from.level_m;
  }

  function riseOverFloats_m(time_s: number, level_m: number | null): number | null {
    const { over } = state.share;
    if (!over?.runs || level_m === null) return null;
    const from = over.readings.find((reading) => time_s - reading.time_s <= mostOver_s);
    if (from === undefined || time_s - from.time_s < farOverFor_s) return null;
    return level_m - geometry.level_m(from.volume_m3);
  }

  /** See `View.risenShare`. */
  function risenShare(time_s: number, level_m: number | null): number | null {
    const [from] = state.flatOut.marks;
    const { endInflow } = state.tracker;
    if (view.pumpRunning !== true || view.pumpInferred || view.startTrip_m === null || level_m === null) return null;
    if (from === undefined || endInflow === null || !(endInflow.flow_m3s > 0)) return null;
    const seen_s = time_s - from.time_s;
    if (from.time_s < sameSince_s(state.pumpSince_s ?? time_s) || seen_s < risesOn_s) return null;
    if (from.level_m < startsAt_m() || level_m - from.level_m < 4 * view.levelNoise_m) return null;
    return (geometry.volume_m3(level_m) - geometry.volume_m3(from.level_m)) / (endInflow.flow_m3s * seen_s);
  }

  /** One that has said 'runs' from the first reading on, and was never seen to change, may be one that is stuck. */
  function isNoStuckSignal(level_m: number | null): boolean {
    return state.tally.starts > 0 || isOverStart(level_m);
  }

  function noteBusy(time_s: number): void {
    const { tally, mostRun, flatOut } = state;
    if (tally.signalRun_s === null && mostRun.time_s.length === 0) return;
    // One that its float holds on runs for longer than what comes in needs.
    const ran_s = view.atStopFor_s >= dwell_s && isClearlyDown(view) ? null : tally.signalRun_s;
    const least = noteMostRun(mostRun, time_s, ran_s, tally.starts, readEvery_s(state.cadence));
    const { pumpRate } = view;
    // A pump that is worn out or blocked runs long for little: what came in at rest must speak for much inflow too.
    if (least === null || pumpRate === null || view.pumps !== null || view.littleInflow || active_m3 === null) return;
    if (state.tracker.endInflow === null || isBlocked(state) || signalDoubted(state)) return;
    const least_m3s = least * (pumpRate.flow_m3s - 2 * pumpRate.uFlow_m3s) - active_m3 / 600;
    flatOut.least_m3s = Math.max(flatOut.least_m3s ?? 0, least_m3s);
  }

  /** No float starts a pump lower than this. */
  function startsAt_m(): number {
    return (view.startTrip_m ?? Number.NEGATIVE_INFINITY) - Math.max(underStart_m, 4 * view.levelNoise_m);
  }

  function inflowAtRest_m3s(level_m: number | null): number | null {
    if (state.pumpRunning !== false || level_m === null || view.pumpStateFor_s < restShows_s) return null;
    const rate_ms = levelTrend_ms(state.trend);
    return rate_ms === null ? null : rate_ms * geometry.area_m2(level_m);
  }

  /** Over where the site says that the pump starts, and over where it does by what many cycles have shown. */
  function isOverStart(level_m: number | null): boolean {
    const { startLevel_m } = basin;
    if (level_m === null || startLevel_m === null) return false;
    return level_m > Math.max(startLevel_m, view.startTrip_m ?? startLevel_m) + overStart_m;
  }

  return {
    dischargeNow_m3s,
    noteRun,
    noteLongRun,
    riseInLongRun_m,
    riseOverFloats_m,
    risenShare,
    noteBusy,
    isNoStuckSignal,
    inflowAtRest_m3s,
    isOverStart,
  };
}

function activeVolume_m3({ basin }: Site, { volume_m3 }: BasinGeometry): number | null {
  if (basin.startLevel_m === null || basin.stopLevel_m === null) return null;
  return volume_m3(basin.startLevel_m) - volume_m3(basin.stopLevel_m);
}
