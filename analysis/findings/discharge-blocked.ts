// The pump runs and moves far less than it did before: a discharge that is blocked or frozen, or a pump that lost its
// prime.

import type { Cycle } from "../cycles/cycle.ts";
import { loneOf } from "../cycles/two-pumps/pump-sets.ts";
import { basinGeometry } from "../geometry/basin.ts";
import { bearsOut, farLonger, hasLost, stillLost } from "../pump-flow/pump-change.ts";
import { emptiesIn_s } from "../pump-flow/pump-history.ts";
import type { Evidence, Finding } from "./finding.ts";
import { frost_c, lossAdvice, lossCause } from "./loss-cause.ts";
import type { Rule, View } from "./rule.ts";
import { tellsOf, whichPump } from "./two-pumps.ts";

export const farLess = 0.25;
/** Where a run holds few readings: more than they are ever off. */
export const farLessByFew = 0.45;
export const stillLess = 0.12;
/** In the middle of a run: hardly any fall although little comes in, for longer than a start takes. */
export const runWithoutFall_s = 20;
/** A run that moves some water, but little, may have met a storm: it must go on for so long, or the rest after it tell. */
export const storyOfARun_s = 180;
const stormCouldHaveBegun_s = 300;
export const longerThanAStorm_s = 900;
export const half = 0.5;
const moreInflow = 0.03;
export const hardlyAny = 0.1;
const shortestTelling_s = 8;
/** Beyond it no single run is judged: foam, not water. */
const mostNoise_m = 0.02;
const little = 0.3;
const fewestOthers = 3;
const pastStart_m = 0.005;
export const clearlyPast_m = 0.01;
/** Of what came in before: the ground's water slows as the basin fills, and what comes in changes somewhat. */
export const asAtRest = [0.6, 1.3] as const;
export const nearlyAll = 0.75;
const aboveStop_m = 0.02;
export const belowStop_m = 0.01;
/** The rest after the run shows so much inflow that the run had no fall to show. */
export const stormAfterAll = 0.4;
const restShows_s = 12;
export const atOnce_s = 1800;

export const dischargeBlocked: Rule = {
  kind: "discharge-blocked",
  severity: "critical",
  onDelay_s: 20,
  offDelay_s: 0,
  notWhileCalm: true,
  holds: (view, open) => {
    const { pumpRunning, suddenChange } = view;
    if (pumpRunning === null) return null;
    if (movesLittle(view, open !== null) || (open === null && (fellShort(view) || risesOn(view)))) return true;
    const share = view.fewReadingsInARun ? farLessByFew : farLess;
    if (suddenChange !== null && (open ? stillLost(suddenChange, stillLess) : hasLost(suddenChange, share)))
      return true;
    if (view.longerRuns !== null) return true;
    if (takesLongToComeUp(view)) return true;
    if (open?.evidence.seen_over_runs !== undefined) return false;
    if (open === null && hasLasted(view)) return true;
    if (open === null || wasAStorm(view)) return false;
    // Each run comes up by itself, and the next begins with air again: it is one trouble.
    if (open.evidence.cause === "air-bound") return view.startsLate;
    // Only a run that moves water again ends it.
    return hasMovedSince(view, open) || movesNow(view, open) ? false : null;
  },
  evidence: (view) => ({
    course: "sudden",
    cause: causeOf(view),
    pump_rate_before_m3s: before_m3s(view),
    pump_rate_now_m3s: now_m3s(view),
    level_m: view.level_m,
    pump_state_for_s: view.pumpStateFor_s,
    temperature_c: view.temperature_c,
    ...(view.longerRuns !== null && { seen_over_runs: view.longerRuns.runs }),
    ...whichPump(pumpOf(view)),
  }),
  // What is behind it comes out with the next runs, and the cold may come later than the ice is seen.
  worsen: (evidence, view) => {
    const cause = causeOf(view);
    if (cause === evidence.cause || evidence.cause === "frozen" || evidence.cause === "air-bound") return null;
    return { ...evidence, cause, pump_rate_now_m3s: now_m3s(view), temperature_c: view.temperature_c };
  },
  conclude: (finding, view) => {
    const { evidence } = finding;
    if (wasAStorm(view)) return { ...evidence, cause: "inflow", inflow_m3s: view.inflowAtRest_m3s };
    if (evidence.cause === "frozen") {
      return { ...evidence, came_back_with_warmth: view.temperature_c !== null && view.temperature_c > frost_c };
    }
    return evidence.cause === "blocked" && cameBackAtOnce(finding, view) ? { ...evidence, cause: "air-bound" } : null;
  },
  message: (_, { cause }: Evidence) =>
    cause === "inflow"
      ? "The pump seemed to move far less water than it did; the rest after the run showed that more had begun to come in instead. Keep an eye on the level while it lasts."
      : lossAdvice(cause),
};

/**
 * More inflow does not come from one minute to the next: a run after little inflow that hardly lowers the water is no
 * storm, unless the level already rose above its course just before the start, or the run began well; and it is a run,
 * if it began where the float starts the pump. Down at the stop level a pump that moves nothing has only run out of
 * water.
 */
function movesLittle(view: View, open: boolean): boolean {
  const { level_m, pumpStateFor_s, dischargeNow_m3s, pumpRate, stopLevel_m } = view;
  if (view.pumpRunning !== true || view.pumpInferred || !view.closelyRead || !view.littleInflow) return false;
  if (level_m === null || dischargeNow_m3s === null || pumpRate === null) return false;
  if (stopLevel_m !== null && level_m < stopLevel_m + aboveStop_m) return false;
  const beganWell = (view.bestInRun_m3s ?? 0) > nearlyAll * pumpRate.flow_m3s;
  const shown = isDoubtful(view) || view.roseBeforeStart || view.startedLow || beganWell || view.soundRun;
  if (!open && (shown || view.overRim)) return false;
  const soonAfterStart = pumpStateFor_s >= runWithoutFall_s && pumpStateFor_s < stormCouldHaveBegun_s;
  // Water that rises faster than it came in before is more inflow, not less discharge.
  const share = dischargeNow_m3s / pumpRate.flow_m3s;
  if (!(soonAfterStart || open) || share >= half || share <= -moreInflow) return false;
  if (open) return true;
  if (pumpStateFor_s >= storyOfARun_s) return true;
  // Where nothing at all is moved the water goes on rising: past the level at which a pump would have started.
  if (share > hardlyAny) return false;
  return view.startTrip_m === null || level_m > view.startTrip_m + pastStart_m;
}

/**
 * Readings far apart: the water goes on rising as it did at rest, past where the pump starts, for ten minutes of a run that
 * never lowered it. A storm would have to bring as much more than the pump moves as came in before it.
 */
function risesOn(view: View): boolean {
  const { level_m, levelNoise_m, startTrip_m, pumpRate, risenShare } = view;
  if (view.closelyRead || !view.littleInflow || pumpRate === null || risenShare === null) return false;
  if (level_m === null || startTrip_m === null || isDoubtful(view) || view.overRim || view.soundRun) return false;
  if (view.roseBeforeStart || (view.bestInRun_m3s ?? 0) > half * pumpRate.flow_m3s) return false;
  const past = level_m > startTrip_m + Math.max(clearlyPast_m, 4 * levelNoise_m);
  return past && risenShare > asAtRest[0] && risenShare < asAtRest[1];
}

/** Once it has come up it moves what it used to, run after run; but for the same water the runs take far longer. */
function takesLongToComeUp({ startsLate, closelyRead, suddenChange }: View): boolean {
  return startsLate && closelyRead && (suddenChange?.longer ?? 0) >= farLonger;
}

/** Many runs moved far less, and none of the latest has come up again since: else what has just ended would begin anew. */
function hasLasted({ suddenChange, lastingChange }: View): boolean {
  if (lastingChange === null || !hasLost(lastingChange, farLess)) return false;
  return suddenChange === null || stillLost(suddenChange, stillLess);
}

/** The time that runs before the latest usually took, what came in meanwhile left out; null before there are enough. */
function usualTime_s([, ...others]: readonly Cycle[]): number | null {
  const before_s = others.flatMap(({ run_s, rest_s }) => (rest_s === null ? [] : [emptiesIn_s(run_s, rest_s)]));
  return before_s.length < fewestOthers ? null : (before_s.sort((a, b) => a - b)[before_s.length >> 1] ?? null);
}

/** How many times as long the latest run took; null where that is not known. */
function longerThanUsual([latest]: readonly Cycle[], usual_s: number | null): number | null {
  return latest?.rest_s == null || usual_s === null ? null : emptiesIn_s(latest.run_s, latest.rest_s) / usual_s;
}

function isDoubtful({ levelProblem, levelNoise_m }: View): boolean {
  return levelProblem !== null || levelNoise_m > mostNoise_m;
}

/**
 * The run that has just ended moved far too little, with little coming in before it and after it. A storm that began just
 * after it and ended just before does not show where readings are far apart, unless it would have had to last for long.
 */
function fellShort(view: View): boolean {
  const { recentCycles, pumpRate, inflowAtRest_m3s, littleInflow } = view;
  const [latest] = recentCycles;
  if (view.pumpRunning !== false || view.pumpInferred || !littleInflow) return false;
  // A sensor that held its last reading through the run says nothing of it until it tells another.
  if (view.level_m === null || view.levelIsOld || isDoubtful(view)) return false;
  if (!latest?.pumpRate || pumpRate === null || view.startedLow || view.roseBeforeStart) return false;
  // What is quickest to see comes first: nearly every run moved what is usual.
  const missing_m3s = pumpRate.flow_m3s - latest.pumpRate.flow_m3s;
  const share = latest.pumpRate.flow_m3s / pumpRate.flow_m3s;
  const clear = missing_m3s > 4 * Math.hypot(pumpRate.uFlow_m3s, latest.pumpRate.uFlow_m3s);
  if (!clear || !(share < half)) return false;
  const usual_s = usualTime_s(recentCycles);
  // Of runs that lie between two readings one seems to last by noise alone.
  const shows = view.closelyRead && !(usual_s !== null && usual_s < view.readEvery_s);
  const brief = shows && latest.run_s >= shortestTelling_s && latest.run_s <= stormCouldHaveBegun_s;
  // After a rest that shows nothing a run may be many of a storm, whose rests all fall between readings.
  const isOne = latest.run_s >= longerThanAStorm_s && latest.inflow !== null && !mayHideCycles(view);
  if (!brief && (!isOne || drewBelowStop(view, latest))) return false;
  if (inflowAtRest_m3s !== null && inflowAtRest_m3s > little * pumpRate.flow_m3s) return false;
  if (brief && goesOnAfter(view, latest, missing_m3s)) return false;
  return bearsOut(longerThanUsual(recentCycles, usual_s), share) && !emptiedInTime(view, latest);
}

/** What still runs in just after a stop a minute's trend shows only in the first minute of the rest. */
const showsFor_s = 60;
const someOfIt = 0.1;

/** Of what a brief run seems to lack some comes in after its stop: a tap ran beside it, and was shut soon after. */
function goesOnAfter({ inflowAtRest_m3s, pumpStateFor_s }: View, { inflow }: Cycle, missing_m3s: number): boolean {
  if (pumpStateFor_s > showsFor_s) return true;
  return inflowAtRest_m3s !== null && inflowAtRest_m3s - (inflow?.flow_m3s ?? 0) > someOfIt * missing_m3s;
}

/** A pump that goes on under its stop level has run out of water, however little it moved in the end. */
function drewBelowStop({ stopLevel_m, level_m }: View, latest: Cycle): boolean {
  if (stopLevel_m === null) return false;
  return Math.min(latest.stopLevel_m ?? level_m ?? stopLevel_m, level_m ?? stopLevel_m) < stopLevel_m - belowStop_m;
}

/**
 * Whole cycles may lie between two readings, so that many look like one run in which the level stands. A cycle is shortest,
 * four times the basin's own emptying, where half of what the pump moves comes in; it shows where half of it is read.
 */
function mayHideCycles({ site, startTrip_m, stopLevel_m, pumpRate, readEvery_s }: View): boolean {
  if (startTrip_m === null || stopLevel_m === null || pumpRate === null) return true;
  const { volume_m3 } = basinGeometry(site.basin.geometry);
  const emptying_s = (volume_m3(startTrip_m) - volume_m3(stopLevel_m)) / pumpRate.flow_m3s;
  return readEvery_s > (4 * emptying_s) / 2;
}

/** The water that is gone, over the time that the run took at the most, is more than half of what is usual after all. */
function emptiedInTime(view: View, { run_s, startLevel_m }: Cycle): boolean {
  const { site, level_m, pumpRate, readEvery_s } = view;
  if (startLevel_m === null || level_m === null || pumpRate === null) return false;
  const { volume_m3 } = basinGeometry(site.basin.geometry);
  return volume_m3(startLevel_m) - volume_m3(level_m) > half * pumpRate.flow_m3s * (run_s + readEvery_s);
}

/** The rest after the run shows what no rest before it showed: that more comes in. */
function wasAStorm({ pumpRunning, pumpStateFor_s, inflowAtRest_m3s, pumpRate, suddenChange }: View): boolean {
  if (pumpRunning !== false || pumpStateFor_s < restShows_s || inflowAtRest_m3s === null || pumpRate === null)
    return false;
  if (suddenChange !== null && stillLost(suddenChange, stillLess)) return false;
  return inflowAtRest_m3s > stormAfterAll * pumpRate.flow_m3s;
}

function hasMovedSince({ recentCycles, pumpRate }: View, open: Finding): boolean {
  const latest = recentCycles.find((cycle) => tellsOf(cycle, open.evidence.pump));
  if (!latest?.pumpRate || latest.startedAt_s <= open.from_s) return false;
  return latest.pumpRate.flow_m3s > nearlyAll * (pumpRate?.flow_m3s ?? 0);
}

function movesNow(view: View, { evidence }: Finding): boolean {
  const { pumpRunning, pumpStateFor_s, dischargeNow_m3s, pumpRate, pumps } = view;
  if (pumps !== null && evidence.pump !== undefined && loneOf(pumps.set) !== evidence.pump) return false;
  if (pumpRunning !== true || pumpStateFor_s < runWithoutFall_s || dischargeNow_m3s === null) return false;
  return dischargeNow_m3s > nearlyAll * (pumpRate?.flow_m3s ?? 0);
}

/** By its runs where they show the loss, else the one that runs, or ran last, alone. */
function pumpOf({ suddenChange, pumps }: View) {
  if (pumps === null) return null;
  const shown = suddenChange !== null && stillLost(suddenChange, stillLess);
  return shown ? pumps.suddenOf : loneOf(pumps.set === 0 ? pumps.lastSet : pumps.set);
}

/** Neither ice nor mud goes within the run in which it was found, nor before the next; in a longer time somebody may have come. */
function cameBackAtOnce({ from_s }: Finding, { recentCycles, time_s }: View): boolean {
  return time_s - from_s < atOnce_s && recentCycles.filter(({ stoppedAt_s }) => stoppedAt_s > from_s).length <= 1;
}

function causeOf(view: View) {
  const { suddenChange, startsLate, temperature_c } = view;
  const before = before_m3s(view);
  const now = now_m3s(view);
  const share = before === null || now === null ? 0 : now / before;
  const spread = suddenChange !== null && stillLost(suddenChange, stillLess) ? suddenChange.spread : null;
  return lossCause({ course: "sudden", share, spread, startsLate, temperature_c });
}

function before_m3s({ longerRuns, suddenChange, pumpRate }: View): number | null {
  return longerRuns?.before.flow_m3s ?? suddenChange?.before.flow_m3s ?? pumpRate?.flow_m3s ?? null;
}

/** By the runs where they show the loss, else by the run under way or the latest. */
function now_m3s({ longerRuns, suddenChange, pumpRunning, dischargeNow_m3s, recentCycles }: View): number | null {
  if (longerRuns !== null) return longerRuns.now.flow_m3s;
  if (suddenChange !== null && stillLost(suddenChange, stillLess)) return suddenChange.now.flow_m3s;
  return (pumpRunning === true ? dischargeNow_m3s : recentCycles[0]?.pumpRate?.flow_m3s) ?? null;
}
