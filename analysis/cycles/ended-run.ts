// What is kept of a rest and of a run once their samples are gone.

import type { BasinGeometry } from "../geometry/basin.ts";
import { noPartRuns, rateFromActiveVolume } from "../inflow/active-volume.ts";
import { type VolumeCourse, volumeCourse } from "../inflow/over-time/volume-course.ts";
import type { LikelyLeap } from "../inflow/poured-in/leap-or-water.ts";
import type { ShortStretchState } from "../inflow/sensor-errors/short-stretch.ts";
import { type FallAtFirst, fallAtFirst, fallAtLast, fallAtShortsLast } from "../pump-flow/fall-at-first.ts";
import { type FallEnd, fallEnds } from "../pump-flow/fall-ends.ts";
import { fitRun, type RunFit } from "../pump-flow/fit-run.ts";
import { lateStart_s } from "../pump-flow/late-start.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import { samplesWithin } from "../statistics/part-of-samples.ts";
import type { Cycle, FlowEstimate } from "./cycle.ts";
import { plus, withParts } from "./flow-arithmetic.ts";
import { edge_s, longRun_s } from "./run-lengths.ts";
import { curveSamples, type SamplesState, singlesOf } from "./samples.ts";
import { edgeDelay_s, type TrackerContext } from "./tracker-context.ts";
import { wetTime_s } from "./wet-time.ts";

/** Inflow as it was at one time. */
export interface InflowAt {
  readonly inflow: FlowEstimate;
  readonly time_s: number;
  /** For so long, where it came by turns or all at once: how it changed says nothing of how it goes on. Absent where it was smooth. */
  readonly lasted_s?: number;
}

export interface RestSummary {
  readonly inflow: Cycle["inflow"];
  readonly rest_s: number | null;
  /** Stored volume at its beginning (returned water included) and end; null without a level. */
  readonly startVolume_m3: number | null;
  readonly endVolume_m3: number | null;
  /** Of a level sample, as a volume; null without a curve through the rest. */
  readonly sampleSd_m3?: number | null;
  /** Inflow towards its beginning and towards its end: what the runs on either side begin and end with. */
  readonly first: InflowAt | null;
  readonly last: InflowAt | null;
  /** … but for what of the end may have run back; absent where nothing of it is in doubt. */
  readonly sure_m3s?: number;
  /** A leap that may have been the sensor's, while the rest has it in its inflow. */
  readonly leap?: LikelyLeap | null;
  /** What rose at once in it, and may have been water or the sensor; absent without any. */
  readonly inDoubt_m3?: number;
  /** The water is known to have risen over where the float closes: by how much, no float tells. */
  readonly overStart?: boolean;
  /** The level fell at once in it: water that was scooped out, or the sensor, by which the float then seems to close lower. */
  readonly fell?: true;
  /** A float at its trip point switched off and on again: the runs on either side are parts of one. */
  readonly chatter?: true;
}

/** A run that has ended and waits for the rest after it. */
export interface EndedRun {
  readonly cycle: Cycle;
  readonly before: RestSummary | null;
  /** Fall of the volume over the run, its beginning and its end; null without enough levels. */
  readonly whole: FlowEstimate | null;
  readonly early: FlowEstimate | null;
  readonly late: FlowEstimate | null;
  /** The fall in the course of a long run, in equal parts. */
  readonly parts: readonly { readonly fall: FlowEstimate; readonly level_m: number }[];
  /** Stored volume at the stop, by the fitted fall. */
  readonly stopVolume_m3: number | null;
  /** The pump stopped somewhere within so long before the end; absent: within a usual interval. */
  readonly stopsWithin_s?: number;
  /** How far the last level seen in the run stands over the fitted fall: a stop that is seen late; null without a fit. */
  readonly lastOver_m3: number | null;
  /** The last volume that was read in it, spike or not; null or absent without any. */
  readonly last_m3?: number | null;
  /** … and that it was read before as well. */
  readonly lastSaidAgain?: boolean;
  /** Level at which the rate holds: in the middle of the run, or between its two ends where those give a long one's rate. */
  readonly meanLevel_m: number | null;
  /** How long before the middle of the time at full speed the fall of a short run was measured; below 0: after it. */
  readonly early_s: number;
  /** How long it moved little before the pump came up; null where that does not show. */
  readonly lateStart_s: number | null;
  /** Its samples in blocks; null without any, and where it ran dry. */
  readonly course: VolumeCourse | null;
  /** Its samples where they lie too far apart to be a course; absent: `course` has them. */
  readonly farApart?: VolumeCourse | null;
  /** How it falls within the first minute; null or absent where that does not show. */
  readonly atFirst?: FallAtFirst | null;
  /** … and in the last seconds of a long one; null or absent where that does not show, and where it ran dry. */
  readonly atLast?: FlowEstimate | null;
  /** So much more was drawn than lies between the floats, where they alone tell; absent: none. */
  readonly more_m3?: number;
  /** … and in those of a short one, likewise. */
  readonly shortsLast?: FlowEstimate | null;
  /** How long it found water; a contact that bounces is read late at either end, on the average by as much. */
  readonly wet_s: number;
  /** By how much the fall slows with the level, from the earlier to the later half of a short run; how far apart in time. */
  readonly halves: {
    readonly levelDrop_m: number;
    readonly flowDrop_m3s: number;
    readonly uFlowDrop_m3s: number;
    readonly apart_s: number;
  } | null;
}

/** Air that is caught goes by and by within minutes; in a longer run what comes in may have fallen off. Judgement, no source. */
const longestLate_s = 600;
/** Two views of one long run that differ by more than this share do not tell its rate. */
export const agreement = 0.1;

export function endedRun(
  samples: SamplesState,
  context: TrackerContext,
  from_s: number,
  to_s: number,
  before: RestSummary | null,
  short: ShortStretchState | null,
  lag_s = 0,
  more_m3 = 0,
): EndedRun {
  const { geometry, resolution_m, basin } = context;
  const run_s = to_s - from_s;
  const all = curveSamples(samples);
  const { at_s: fell_s, uFall_m3s } = fellFor(all, run_s, context, before?.sampleSd_m3 ?? null);
  const curve = fell_s < run_s ? samplesWithin(all, 0, fell_s) : all;
  const hasLevel = samples.count > 0;
  const first_m3 = samples.y[0] ?? null;
  const last_m3 = samples.y[Math.max(0, samples.count - 1)] ?? null;
  const sensor = {
    sampleSd_m3: before?.sampleSd_m3 ?? null,
    short,
    step_m3: resolution_m * geometry.area_m2(basin.stopLevel_m ?? 0),
    lag_s,
    startVolume_m3: before?.endVolume_m3 ?? null,
  };
  const delay_s = edgeDelay_s(context);
  const stopsWithin_s = seenToStopWithin_s(samples, run_s, context);
  const fit = fitRun(curve, fell_s, delay_s, sensor, fell_s < run_s ? 0 : stopsWithin_s / 2);
  const startVolume_m3 = before?.endVolume_m3 ?? (hasLevel ? first_m3 : null);
  const stopVolume_m3 = fit?.stopVolume_m3 ?? (hasLevel ? last_m3 : null);
  const wet_s = fit === undefined ? fell_s : wetTime_s(curve, fell_s, context);
  const dry = wet_s < fell_s;
  const wet = dry ? fitRun(whileWet(curve, wet_s), wet_s, delay_s, sensor) : fit;
  const fall = wet?.fall(wet.upToSpeed_s, Math.min(longRun_s, wet_s)) ?? null;
  const whole = fall === null || uFall_m3s === 0 ? fall : withParts(fall, { timing: uFall_m3s });
  const tooFew = dry && wet_s < fewestWet * context.interval_s;
  const early = tooFew ? null : (wet?.fall(wet.upToSpeed_s, Math.min(edge_s, wet_s)) ?? null);
  const late = dry ? null : (fit?.fall(Math.max(fit.upToSpeed_s, fell_s - edge_s), fell_s) ?? null);
  const inflow = before?.inflow ?? null;
  const soFar = run_s > longRun_s ? asAtFirst(plus(early, before?.last?.inflow ?? null), late) : plus(whole, inflow);
  return {
    cycle: {
      startedAt_s: from_s,
      stoppedAt_s: to_s,
      run_s,
      rest_s: before?.rest_s ?? null,
      startLevel_m: startVolume_m3 === null ? null : geometry.level_m(startVolume_m3),
      stopLevel_m: stopVolume_m3 === null ? null : geometry.level_m(stopVolume_m3),
      inflow,
      pumpRate: soFar ?? rateFromActiveVolume(context, run_s, inflow, noPartRuns, more_m3),
      drainBack_m3: null,
    },
    before,
    whole,
    early,
    late,
    parts: fit === undefined || dry ? [] : courseOf(fit, fell_s, geometry),
    stopVolume_m3: fit?.stopVolume_m3 ?? null,
    stopsWithin_s,
    lastOver_m3:
      fit === undefined || last_m3 === null ? null : last_m3 - fit.volumeAt_m3(samples.t[samples.count - 1] ?? 0),
    meanLevel_m: wet === undefined ? null : levelOfRate_m(wet, fell_s, dry ? wet_s : null, context),
    early_s: fit === undefined || run_s > longRun_s ? 0 : middleAtSpeed_s(fell_s, context) - fit.middle_s,
    lateStart_s: run_s > longestLate_s ? null : lateStart_s(curve, run_s),
    atFirst: fit === undefined ? null : fallAtFirst(curve, fit.upToSpeed_s),
    atLast: run_s > longRun_s && !dry ? fallAtLast(curve) : null,
    ...(more_m3 !== 0 && { more_m3 }),
    shortsLast: run_s > longRun_s || dry ? null : atLastOfShort(curve, sensor.sampleSd_m3),
    wet_s: dry ? wet_s : run_s,
    course: hasLevel && !dry ? volumeCourse(all, singlesOf(samples), samples.blockSize) : null,
    halves: fit === undefined ? null : compareHalves(fit, run_s, geometry),
  };
}

/**
 * A run towards whose end the sensor only said again what it had said before. Of a short one nobody knows from when on: how fast
 * that moved the water the rests on either side have to tell.
 */
export function withoutItsEnd(ended: EndedRun): EndedRun {
  const unseen = { late: null, atLast: null, shortsLast: null, halves: null, course: null, stopVolume_m3: null };
  if (ended.cycle.run_s > longRun_s) return { ...ended, ...unseen, parts: [] };
  return { ...ended, ...unseen, whole: null, lateStart_s: null, cycle: { ...ended.cycle, pumpRate: null } };
}

function atLastOfShort(curve: CurveSamples, sampleSd_m3: number | null): FlowEstimate | null {
  return sampleSd_m3 === null ? null : fallAtShortsLast(curve, sampleSd_m3);
}

/** A run that ends with a faster fall than the pump moved at first was not of one rate: it came free meanwhile. */
function asAtFirst(rate: FlowEstimate | null, late: FlowEstimate | null): FlowEstimate | null {
  if (rate === null || late === null) return rate;
  const allowed_m3s = Math.max(agreement * late.flow_m3s, 3 * Math.hypot(rate.uFlow_m3s, late.uFlow_m3s));
  return late.flow_m3s - rate.flow_m3s > allowed_m3s ? null : rate;
}

/**
 * A stop that is seen at a reading happened since the one before, which may be nearer or farther than usual. One without a
 * level in between is no farther off for it.
 */
function seenToStopWithin_s({ t, count }: SamplesState, run_s: number, context: TrackerContext): number {
  const usual_s = 2 * edgeDelay_s(context);
  if (count === 0 || usual_s === 0 || context.exactEdges === true) return usual_s;
  return Math.min(run_s - (t[count - 1] as number), context.longInterval_s);
}

/** A run keeps so much of its readings, however its contact bounces. Judgement, no source. */
const mostHidden = 0.5;

/** A contact that bounces may be read to stay on after the stop. */
function fellFor(samples: CurveSamples, run_s: number, context: TrackerContext, sampleSd_m3: number | null): FallEnd {
  const hidden_s = context.hidden_s ?? 0;
  if (hidden_s === 0) return { at_s: run_s, uFall_m3s: 0 };
  return fallEnds(samples, run_s, Math.min(hidden_s + context.interval_s, run_s * mostHidden), sampleSd_m3);
}

/** One curve bends too little for the fall before it ran dry and the hours after. */
function whileWet({ t, y, count }: CurveSamples, wet_s: number): CurveSamples {
  let until = 0;
  while (until < count && (t[until] as number) <= wet_s) until += 1;
  return { t: t.subarray(0, until), y: y.subarray(0, until), weight: new Float64Array(until).fill(1), count: until };
}

/** Of a run that soon ran dry, fewer readings do not show how fast the water fell before. */
const fewestWet = 4.5;
function courseOf(fit: RunFit, run_s: number, geometry: BasinGeometry): EndedRun["parts"] {
  if (run_s <= longRun_s) return [];
  const parts = Math.min(240, Math.ceil(run_s / 30));
  return Array.from({ length: parts }, (_, i) => {
    const from_s = Math.max(fit.upToSpeed_s, (run_s * i) / parts);
    const to_s = (run_s * (i + 1)) / parts;
    return { fall: fit.fall(from_s, to_s), level_m: geometry.level_m(fit.volumeAt_m3((from_s + to_s) / 2)) };
  });
}

function levelOfRate_m(fit: RunFit, run_s: number, ranDryAt_s: number | null, context: TrackerContext): number {
  const level_m = (t: number) => context.geometry.level_m(fit.volumeAt_m3(t));
  if (run_s <= longRun_s) return level_m(middleAtSpeed_s(run_s, context));
  const early_m = level_m(Math.min(edge_s, ranDryAt_s ?? edge_s) / 2);
  return ranDryAt_s === null ? (early_m + level_m(run_s - edge_s / 2)) / 2 : early_m;
}

/** By then a pump is up to speed, though the fit waits longer to be sure; common practice, no source. */
const upToSpeed_s = 1;

/** A run is seen to begin and to end a little late. */
function middleAtSpeed_s(run_s: number, context: TrackerContext): number {
  return (run_s + Math.min(upToSpeed_s, run_s / 3)) / 2 - edgeDelay_s(context);
}

function compareHalves({ slowing, volumeAt_m3 }: RunFit, run_s: number, geometry: BasinGeometry): EndedRun["halves"] {
  if (run_s > longRun_s || slowing === null) return null;
  const { early_s, late_s, flow_m3s, uFlow_m3s } = slowing;
  return {
    levelDrop_m: geometry.level_m(volumeAt_m3(early_s)) - geometry.level_m(volumeAt_m3(late_s)),
    flowDrop_m3s: flow_m3s,
    uFlowDrop_m3s: uFlow_m3s,
    apart_s: late_s - early_s,
  };
}
