// The look-out: gathers from the state of the analysis what the rules may look at, reading by reading, and what comes
// in while the pump runs on.

import type { AnalyzerState } from "../analyzer-state.ts";
import type { FlowEstimate } from "../cycles/cycle.ts";
import { flickersAt } from "../cycles/steady-signal.ts";
import { closelyRead_s } from "../cycles/tracker-context.ts";
import { learnedBy } from "../cycles/tracker-state.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { capabilityAt } from "../inflow/pump-capability.ts";
import { lastingChange, slowChange, startsLate, suddenChange, usualRate } from "../inflow/pump-history.ts";
import { reckonedStarts } from "../inflow/reckoned-starts.ts";
import { anyChannelProblem } from "../readings/channel-watch.ts";
import { levelNoise_m, levelProblem, steadyLag_s, steadyLevel_m } from "../readings/level-problem.ts";
import { onlySaysAgain } from "../readings/repeated-levels.ts";
import { latestFall_ms, levelTrend_ms, riseInAMinute_m } from "../readings/trend.ts";
import { usualTrips } from "../readings/trip-levels.ts";
import { rateOfSet } from "../report/pump-tally.ts";
import { startsInLastHour } from "../report/tally.ts";
import { isBlocked, noSignal, signalDead } from "../signal-and-pump.ts";
import type { Site } from "../site.ts";
import { noteFlatOut } from "./flat-out.ts";
import { noteKeptDown, noteStops } from "./kept-down.ts";
import { noteMostRun } from "./most-run.ts";
import type { View } from "./rule.ts";
import { comparePumps, lookAtPumps, lowestStop_m, newTwoPumps } from "./two-pumps.ts";

/** So many readings in a run tell what it moved. */
export const readingsThatTell = 5;

export interface LookOut {
  /** What is true at the newest reading; the same object each time, for it is made at every reading. */
  view(time_s: number): View;
  /**
   * Whether the newest reading is calm: the pump rests, the water stands where it stands at rest, every channel is well,
   * no finding is open or pending, and no news has come of starts, cycles, inflow or flickers since `view` was last made.
   * No rule but one that says otherwise can come true then, and none is asked.
   *
   * @param level_m the steady level, null without one
   */
  isCalm(time_s: number, level_m: number | null): boolean;
  /** Whether the next reading is calm unless it says something new. */
  mayBeCalm(): boolean;
  /** Something has come up that rules look at, beside what a reading says. */
  tellNews(): void;
  /** In a run of more than a minute: what the pump is known to move and how the level goes. Null otherwise. */
  inflowWhileRunning(): FlowEstimate | null;
}

/** A minute's rise shows only in readings closer together than this. */
export const minuteNeeds_s = 15;
export const overStart_m = 0.03;
/** A storm that breaks in the last seconds before a start lifts the level above its course until the pump is up to speed. */
const start_s = 3;
const aboveCourse_m = 0.005;
const underStart_m = 0.015;
/** A rise of millimetres a minute shows over this. */
export const longRise_s = 300;
/** Of a site file whose levels are 50 mm off no start may have shown where the float trips. */
export const farOver_m = 0.08;
export const farOverFor_s = 120;
/** So near the rim water may be going over it. */
const rim_m = 0.005;
/** The trend of a rest is not its own before. */
const restShows_s = 12;

export function createLookOut(site: Site, geometry: BasinGeometry, state: AnalyzerState): LookOut {
  const { basin } = site;
  const view = emptyView(site, geometry, state);
  const two = newTwoPumps();
  const active_m3 = activeVolume_m3(site, geometry);
  /** Comparisons change only when a cycle settles; -1: not made since the start. */
  let comparedCycles = -1;
  /** Not told yet; nothing has been since the start. */
  let news = true;

  function isCalm(time_s: number, level_m: number | null): boolean {
    if (!mayBeCalm() || isUp(level_m) || isDown(level_m) || state.steady.flickeredAt_s === time_s) return false;
    if (levelProblem(state.screen, time_s) !== null) return false;
    // What `view` would have noted.
    state.atStopSince_s = null;
    if (state.runSignal.origin === null) state.keptDown.above_s = time_s;
    state.lookedAt_s = time_s;
    return true;
  }

  function mayBeCalm(): boolean {
    if (news || state.book.busy || state.pumpRunning !== false || state.contact.suspect) return false;
    // What is told by how closely it is read may come true by that alone.
    if (state.cadence.long_s <= closelyRead_s !== view.closelyRead) return false;
    if (state.highFloat === true || state.mainsOn === false) return false;
    return !signalDead(state) && !anyChannelProblem(state.channels);
  }

  /** … under where runs stop, with nothing but the level to tell whether the pump stands. */
  function isDown(level_m: number | null): boolean {
    return state.runSignal.origin === null && level_m !== null && level_m < state.keptDown.stop_m;
  }

  function isUp(level_m: number | null): boolean {
    if (level_m === null) return false;
    const { startLevel_m, highLevel_m } = basin;
    return (startLevel_m !== null && level_m > startLevel_m) || (highLevel_m !== null && level_m >= highLevel_m);
  }

  function look(time_s: number): View {
    const { screen, tally, tracker } = state;
    const steady_m = steadyLevel_m(screen);
    const problem = levelProblem(screen, time_s);
    const closelyRead = state.cadence.long_s <= closelyRead_s;
    const flickers = flickersAt(state.steady, time_s);
    const asBefore = problem === view.levelProblem && closelyRead === view.closelyRead && flickers <= view.flickers;
    view.noNews = !news && asBefore && tally.pumps === null;
    const told = news;
    news = false;
    view.time_s = time_s;
    view.levelProblem = problem;
    view.lastLevel_m = Number.isFinite(screen.last_m) ? screen.last_m : null;
    view.level_m = problem === "out-of-range" || screen.standing ? null : steady_m;
    view.levelOnlySaidAgain = onlySaysAgain(screen);
    const started_s = tally.recentCycles[0]?.startedAt_s ?? Number.NEGATIVE_INFINITY;
    view.leapSinceStart_m = screen.leapAt_s > started_s ? screen.leap_m : 0;
    // What the level belies is not known until it is clear which of them is wrong.
    view.pumpRunning = state.contact.suspect && !state.contact.lies ? null : state.pumpRunning;
    view.pumpInferred = noSignal(state);
    view.pumpSignalDead = signalDead(state);
    view.pumpSignal = state.runSignal.origin;
    view.allWell =
      problem === null &&
      !view.pumpSignalDead &&
      tracker.trips.drift === null &&
      state.mainsOn !== false &&
      !anyChannelProblem(state.channels);
    view.closelyRead = closelyRead;
    view.readEvery_s = Number.isFinite(state.cadence.long_s) ? state.cadence.long_s : 0;
    view.fewReadingsInARun = !(state.tracker.typicalRun_s >= readingsThatTell * state.cadence.typical_s);
    view.pumpStateFor_s = state.pumpSince_s === null ? 0 : time_s - state.pumpSince_s;
    view.riseWhileRunning_m =
      view.pumpRunning === true &&
      view.pumpStateFor_s >= 60 &&
      state.cadence.long_s <= minuteNeeds_s &&
      isNoStuckSignal(steady_m)
        ? riseInAMinute_m(state.trend)
        : null;
    view.highFloat = state.highFloat;
    view.mainsOn = state.mainsOn;
    view.startsInLastHour = startsInLastHour(tally, time_s);
    view.startsByInflow = reckonedStarts(state.share.reckoned, tally.startTimes_s, time_s);
    view.recentCycles = tally.recentCycles;
    view.flickers = flickers;
    view.levelNoise_m = levelNoise_m(screen);
    view.inflow = tracker.lastInflow;
    view.peak600 = state.peaks.peaks[1] ?? null;
    if (tally.pumps !== null) {
      view.pumps = two;
      lookAtPumps(two, state, time_s);
    }
    view.pumpRate = rateOfSet(tally, two.set === 0 ? two.lastSet : two.set);
    view.littleInflow = isLittle(tracker.endInflow, tally.pumpRate);
    view.dischargeNow_m3s = dischargeNow_m3s(steady_m);
    view.stopLevel_m = basin.stopLevel_m ?? tally.recentCycles[0]?.stopLevel_m ?? null;
    view.atStopFor_s = noteAtStop(time_s, view.level_m);
    if (view.pumpInferred) noteDown(time_s, told);
    view.startTrip_m = usualTrips(state.tracker.trips)?.start_m ?? basin.startLevel_m;
    noteRun(time_s, steady_m);
    noteLongRun(time_s);
    view.riseInLongRun_m = riseInLongRun_m(time_s, steady_m);
    // Calm readings are not looked at: whether one is must change nothing.
    if (told || state.pumpRunning !== false) noteBusy(time_s);
    view.leastPeak600_m3s = state.flatOut.least_m3s;
    view.soundRun = state.pumpRunning === true && state.flatOut.sound;
    view.overRim = steady_m !== null && steady_m >= (basin.overflowLevel_m ?? Number.POSITIVE_INFINITY) - rim_m;
    view.startedLow = state.startedLow;
    view.roseBeforeStart = state.roseBeforeStart;
    view.bestInRun_m3s = state.bestInRun_m3s;
    view.inflowAtRest_m3s = inflowAtRest_m3s(steady_m);
    view.riseOverStart_m =
      view.pumpInferred && isOverStart(view.level_m) && state.cadence.long_s <= minuteNeeds_s
        ? riseInAMinute_m(state.trend)
        : null;
    view.temperature_c = state.temperature_c;
    if (tally.settledCycles !== comparedCycles) {
      comparedCycles = tally.settledCycles;
      const usual = usualRate(tracker.history);
      view.suddenChange = suddenChange(tracker.history, usual);
      view.lastingChange = lastingChange(tracker.history, usual);
      view.slowChange = slowChange(tracker.history, usual);
      view.startsLate = startsLate(tracker.history);
      if (tally.pumps !== null) comparePumps(two, view, state);
    }
    noteBlind(time_s);
    return view;
  }

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
    noteFlatOut(state, geometry, state.pumpSince_s, time_s, level_m, {
      pumpRate_m3s: pumpRate?.flow_m3s ?? null,
      discharge_m3s: dischargeNow_m3s,
      uDischarge_m3s: uRate_ms(view.levelNoise_m, Math.min(60, view.pumpStateFor_s)) * geometry.area_m2(level_m),
      best_m3s: state.bestInRun_m3s,
      startsAt_m: view.startTrip_m === null ? Number.NaN : startsAt_m(),
    });
  }

  /** By what is noted about every minute, which readings further apart and noise hide less than a minute's rise. */
  function riseInLongRun_m(time_s: number, level_m: number | null): number | null {
    const from = state.flatOut.marks[0];
    if (view.pumpRunning !== true || view.pumpInferred || from === undefined || level_m === null) return null;
    if (state.cadence.long_s > minuteNeeds_s) return riseFarOver_m(level_m, time_s, state.pumpSince_s ?? time_s);
    const seen = from.time_s >= (state.pumpSince_s ?? time_s) && time_s - from.time_s >= longRise_s;
    return seen && isNoStuckSignal(level_m) ? level_m - from.level_m : null;
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

  /** One that has said 'runs' from the first reading on, and was never seen to change, may be one that is stuck. */
  function isNoStuckSignal(level_m: number | null): boolean {
    return state.tally.starts > 0 || isOverStart(level_m);
  }

  function noteBusy(time_s: number): void {
    const { tally, mostRun, flatOut } = state;
    if (tally.signalRun_s === null && mostRun.time_s.length === 0) return;
    const least = noteMostRun(mostRun, time_s, tally.signalRun_s, tally.starts, view.readEvery_s);
    view.mostRunShare = view.pumps === null && tally.signalRun_s !== null ? mostRun.most : null;
    const { pumpRate } = view;
    // A pump that is worn out or blocked runs long for little: what came in at rest must speak for much inflow too.
    if (least === null || pumpRate === null || view.pumps !== null || view.littleInflow || active_m3 === null) return;
    if (state.tracker.endInflow === null || isBlocked(state)) return;
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

  function isOverStart(level_m: number | null): boolean {
    return level_m !== null && level_m > (basin.startLevel_m ?? Number.POSITIVE_INFINITY) + overStart_m;
  }

  /** Over the start level a pump that is watched by the level alone may run or stand: what comes in is anyone's guess. */
  function noteBlind(time_s: number): void {
    const over = view.pumpInferred && isOverStart(view.level_m);
    const since_s = time_s > state.lookedAt_s ? Math.min(60, time_s - state.lookedAt_s) : 0;
    if (over) state.tally.blind_s += since_s;
    if (view.overRim) state.tally.overRim_s += since_s;
    state.lookedAt_s = time_s;
  }

  function noteAtStop(time_s: number, level_m: number | null): number {
    const within_m = Math.min(0.003, levelNoise_m(state.screen));
    const stop_m = lowestStop_m(site);
    const down = level_m !== null && stop_m !== null && level_m <= stop_m + within_m;
    if (state.pumpRunning !== true || !down) state.atStopSince_s = null;
    else state.atStopSince_s ??= time_s;
    return state.atStopSince_s === null ? 0 : time_s - state.atStopSince_s;
  }

  /** Of a pump that nothing but the level watches. */
  function noteDown(time_s: number, told: boolean): void {
    const { keptDown, tracker } = state;
    const { level_m, recentCycles, levelNoise_m } = view;
    if (told)
      noteStops(
        keptDown,
        recentCycles.flatMap(({ stopLevel_m }) => stopLevel_m ?? []),
        lowestStop_m(site),
      );
    if (level_m === null) return;
    const { endInflow } = tracker;
    const rise_ms = endInflow === null ? null : endInflow.flow_m3s / geometry.area_m2(level_m);
    noteKeptDown(keptDown, time_s, level_m, levelNoise_m, rise_ms);
  }

  /** In a long run the rest before it tells little of what comes in now: the level against the pump tells more. */
  function inflowWhileRunning(): FlowEstimate | null {
    const { tally, pumpSince_s, screen } = state;
    const level_m = steadyLevel_m(screen);
    const rate_ms = levelTrend_ms(state.trend);
    const runs = state.pumpRunning === true && pumpSince_s !== null && (tally.end_s ?? 0) - pumpSince_s > 60;
    if (!runs || level_m === null || rate_ms === null || level_m <= (basin.stopLevel_m ?? 0)) return null;
    const { tracker } = state;
    const capability = capabilityAt(learnedBy(tracker, tracker.pumps.set).capability, level_m);
    if (capability === null || isBlocked(state)) return null;
    const area_m2 = geometry.area_m2(level_m);
    return {
      ...capability,
      flow_m3s: Math.max(0, capability.flow_m3s + area_m2 * rate_ms),
      uFlow_m3s: Math.hypot(capability.uFlow_m3s, area_m2 * uRate_ms(levelNoise_m(screen), 60)),
    };
  }

  return {
    view: look,
    isCalm,
    mayBeCalm,
    tellNews: () => {
      news = true;
    },
    inflowWhileRunning,
  };
}

/** Of the trend between two medians of five levels so far apart. */
function uRate_ms(noise_m: number, apart_s: number): number {
  return (0.54 * Math.SQRT2 * noise_m) / apart_s;
}

function activeVolume_m3({ basin }: Site, { volume_m3 }: BasinGeometry): number | null {
  if (basin.startLevel_m === null || basin.stopLevel_m === null) return null;
  return volume_m3(basin.startLevel_m) - volume_m3(basin.stopLevel_m);
}

function emptyView(site: Site, geometry: BasinGeometry, state: AnalyzerState): View {
  const rim_m = site.basin.overflowLevel_m ?? site.basin.depth_m;
  return {
    site,
    basinHolds_m3: rim_m === null ? null : geometry.volume_m3(rim_m),
    time_s: 0,
    noNews: false,
    allWell: false,
    level_m: null,
    levelOnlySaidAgain: false,
    leapSinceStart_m: 0,
    pumpRunning: null,
    pumpInferred: false,
    closelyRead: false,
    readEvery_s: 0,
    fewReadingsInARun: true,
    pumpSignalDead: false,
    pumpSignal: null,
    pumpStateFor_s: 0,
    riseWhileRunning_m: null,
    riseInLongRun_m: null,
    highFloat: null,
    mainsOn: null,
    startsInLastHour: 0,
    startsByInflow: null,
    flickers: 0,
    recentCycles: state.tally.recentCycles,
    pumpRate: null,
    pumps: null,
    inflow: null,
    peak600: state.peaks.peaks[1] ?? null,
    leastPeak600_m3s: state.flatOut.least_m3s,
    mostRunShare: null,
    soundRun: false,
    overRim: false,
    lastLevel_m: null,
    levelProblem: null,
    trips: state.tracker.trips,
    channels: state.channels,
    levelNoise_m: 0,
    dischargeNow_m3s: null,
    stopLevel_m: null,
    atStopFor_s: 0,
    keptDown: state.keptDown,
    littleInflow: false,
    suddenChange: null,
    lastingChange: null,
    slowChange: null,
    startsLate: false,
    startedLow: false,
    startTrip_m: site.basin.startLevel_m,
    roseBeforeStart: false,
    bestInRun_m3s: null,
    inflowAtRest_m3s: null,
    riseOverStart_m: null,
    temperature_c: null,
  };
}

/** So much less comes in than the pump moves that a storm would have to begin from one minute to the next. */
export function isLittle(inflow: FlowEstimate | null, pumpRate: FlowEstimate | null): boolean {
  return inflow !== null && pumpRate !== null && inflow.flow_m3s < 0.3 * pumpRate.flow_m3s;
}
