// How much water ran back after a run, where readings may have missed some or all of its course.

import type { Cycle } from "../../cycles/cycle.ts";
import type { EndedRun, RestSummary } from "../../cycles/ended-run.ts";
import { edgeDelay_s, type TrackerContext } from "../../cycles/tracker-context.ts";
import type { TrackerState } from "../../cycles/tracker-state.ts";
import { lateFrom_s } from "../../pump-flow/pump-history.ts";
import { closelyRead_s } from "../../readings/closely-read.ts";
import { type DrainBack, mostOfPipe } from "./drain-back.ts";
import { longestSteady_s } from "./find-drain-back.ts";
import { leaksBetween, seldomReturn_m3 } from "./seldom-return.ts";
import { outFrom_s } from "./slow-course.ts";
import { boundsOfReturn, mayGoUnseen, noteUnseenReturn, restsAlike, unseenReturn_m3 } from "./unseen-return.ts";

const seenOver = 2;
/** Of a course quicker than readings are apart no more than this can be told. */
const mostUnseen = 1.25;

/** The last level of a run stands over its fall by so much of what an interval moves, and so many standard deviations. */
const seenLate = 0.3;
const clearlyOver = 3;

/** What came back; null where that is not known, be it that the rest shows nothing, be it that readings may have missed it. */
export function returned(
  { unseen }: TrackerState,
  context: TrackerContext,
  ended: EndedRun,
  after: RestSummary | null,
  fitted: DrainBack | null,
): DrainBack | null {
  if (!mayGoUnseen(ended.cycle.pumpRate, context))
    return returnedAtOnce(ended, after, fitted, context) ?? withUnseen(fitted, context);
  const bounds = boundsOfReturn(ended, after, context);
  if (bounds !== null) noteUnseenReturn(unseen, bounds);
  if (fitted !== null && showsItsCourse(fitted, context)) return withUnseen(fitted, context);
  const volume_m3 = after?.rest_s == null ? null : unseenReturn_m3(unseen);
  return volume_m3 === null ? null : { volume_m3, time_s: context.interval_s, course: "fading" };
}

/** A course that goes on over several readings is seen. */
export function showsItsCourse({ time_s }: DrainBack, { interval_s }: Pick<TrackerContext, "interval_s">): boolean {
  return time_s > seenOver * interval_s;
}

/**
 * The cycle as it is told. A rest that shows nothing coming back (0, by which the rules go) does not show that nothing did:
 * what is back before the next reading, or hidden by ripples or a slow sensor, is not known.
 */
export function seenReturn(cycle: Cycle): Cycle {
  return cycle.drainBack_m3 === 0 ? { ...cycle, drainBack_m3: null } : cycle;
}

/**
 * What came back, m³: no less than the few readings about many stops show, where a rest by itself shows less or nothing, but
 * for what the discharge does not hold.
 */
export function toldReturn_m3(
  { seldom }: Pick<TrackerState, "seldom">,
  found: DrainBack | null,
  { longInterval_s, pipeHolds_m3 }: Pick<TrackerContext, "longInterval_s" | "pipeHolds_m3">,
): number | null {
  const shown_m3 = longInterval_s > closelyRead_s && leaksBetween(seldom) ? seldomReturn_m3(seldom) : 0;
  const volume_m3 = pipeHolds_m3 == null ? shown_m3 : Math.min(shown_m3, mostOfPipe * pipeHolds_m3);
  const found_m3 = found?.volume_m3 ?? null;
  return volume_m3 > (found_m3 ?? 0) ? volume_m3 : found_m3;
}

/** A stop is seen some time within an interval after it happened: what is back by then is missing from the course. */
function withUnseen(fitted: DrainBack | null, context: TrackerContext): DrainBack | null {
  if (fitted === null || !(fitted.volume_m3 > 0)) return fitted;
  const late_s = edgeDelay_s(context);
  if (late_s === 0) return fitted;
  // One that one rest alone shows to end is tried over four readings or more: of less, that tells too much already.
  if (fitted.course !== "fading" && fitted.time_s < longestSteady_s) return fitted;
  // One that ends began as much earlier than it was seen to.
  const time_s = fitted.course === "fading" ? fitted.time_s : fitted.time_s + late_s;
  const outFrom = outFrom_s({ course: fitted.course, time_s });
  const seen = (outFrom(0) - outFrom(2 * late_s)) / (2 * late_s);
  return { ...fitted, volume_m3: fitted.volume_m3 * Math.min(mostUnseen, 1 / seen) };
}

/**
 * Water that was back before the next reading leaves no course to fit: it shows as a step between the level at the stop
 * and the level of the rest, where that is more than the edge's own uncertainty makes.
 */
function returnedAtOnce(
  { cycle, before, stopVolume_m3, lastOver_m3, lateStart_s, stopsWithin_s }: EndedRun,
  after: RestSummary | null,
  fitted: DrainBack | null,
  { interval_s, longInterval_s, inferred }: TrackerContext,
): DrainBack | null {
  if (stopVolume_m3 === null || after?.startVolume_m3 == null || cycle.pumpRate === null) return null;
  if (inferred || longInterval_s > closelyRead_s || !restsAlike(before, after)) return null;
  // A run that came up late is bent more sharply than any fit: its end is not known well enough.
  if ((lateStart_s ?? 0) >= lateFrom_s) return null;
  // A contact that bounces says 'runs' after the stop: the fall has been carried on too far.
  const step_m3 = cycle.pumpRate.flow_m3s * (stopsWithin_s ?? interval_s);
  if ((lastOver_m3 ?? 0) > Math.max(seenLate * step_m3, clearlyOver * (before?.sampleSd_m3 ?? 0))) return null;
  const volume_m3 = after.startVolume_m3 - stopVolume_m3;
  const uEnds_m3 = Math.hypot(
    uEnd_m3(before, cycle.run_s / interval_s),
    uEnd_m3(after, (after.rest_s ?? 0) / interval_s),
  );
  return volume_m3 - (fitted?.volume_m3 ?? 0) > 4 * Math.hypot(step_m3 / Math.sqrt(12), uEnds_m3)
    ? { volume_m3, time_s: interval_s, course: "fading" }
    : null;
}

/**
 * Of where a bent curve through so many readings begins or ends. By least squares the end of a parabola through n even readings
 * has 9/n of their variance, of few of them somewhat less.
 */
function uEnd_m3(rest: RestSummary | null, readings: number): number {
  return (3 * (rest?.sampleSd_m3 ?? 0)) / Math.sqrt(Math.max(1, readings));
}
