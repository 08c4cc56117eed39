// When inflow moves too much for one smooth curve over a rest and a straight line over the run before it, and what it was
// then at every moment of both.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { EndedRun, InflowAt, RestSummary } from "../../cycles/ended-run.ts";
import { longRun_s } from "../../cycles/run-lengths.ts";
import { type SamplesState, singlesOf } from "../../cycles/samples.ts";
import type { TrackerContext } from "../../cycles/tracker-context.ts";
import type { CapabilityState } from "../../pump-flow/capability-state.ts";
import { comesByLevel } from "../../pump-flow/inflow-beside-run.ts";
import { isImpaired } from "../../pump-flow/inflow-during-run.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { closelyRead_s } from "../../readings/closely-read.ts";
import { rangeOf } from "../../statistics/range-of.ts";
import { workplace } from "../../statistics/workplace.ts";
import type { RestFit } from "../rest/fit-rest.ts";
import { type MovingInflow, movingInflow, noiseOf } from "./moving-inflow.ts";
import { uWhenTurns_m3 } from "./volume-corners.ts";
import { mostInCourse, type VolumeCourse, volumeCourse } from "./volume-course.ts";

export interface StormCourse {
  /** Over equal parts of the run; null where the run is not in it. */
  readonly run: FlowEstimate[] | null;
  readonly rest: FlowEstimate[];
  /** At either end of the rest; the first by its own curve where that does not miss its course. */
  readonly first: InflowAt | null;
  readonly last: InflowAt;
}

export interface RestInStorm {
  readonly samples: SamplesState;
  readonly fit: RestFit | undefined;
  /** A cubic follows its samples, which the fit then does not miss. */
  readonly isPlain: boolean;
  readonly from_s: number;
  readonly to_s: number;
  readonly after: RestSummary;
  /** The run before it, of one pump all through; null where there is none, or where it was not seen to end. */
  readonly ended: EndedRun | null;
  /** What is known before a rest whose run is not. */
  readonly before: InflowAt | null;
  /** Of a level sample, as rests of many have shown it; 0 until then. */
  readonly sampleSd_m3: number;
}

/** Such shares of what the pump moves are a storm, and a change that shows in a run. */
const stormy = 0.25;
const changed = 0.03;
const part_s = 10;
/** Readings closer together show of a run what the ground's water does in it: so short runs hold enough of them. Judgement, no source. */
const followsGround_s = 1.5;
const mostParts = 240;
/** The end of a rest by itself. */
const end_s = 20;

/** @returns null where curve and line do, or where nothing is known of the pump */
export function stormCourse(
  rest: RestInStorm,
  context: TrackerContext,
  capability: CapabilityState,
): StormCourse | null {
  const usual = capabilityAt(capability, null);
  const { samples, from_s, to_s, ended, after } = rest;
  if (usual === null || !(to_s > from_s)) return null;
  const heldBack_m3 = rest.fit?.heldBack_m3 ?? null;
  const courseOfRest = () => without(heldBack_m3, volumeCourse(samples, singlesOf(samples), samples.blockSize, room));
  const misses =
    rest.fit !== undefined &&
    !rest.isPlain &&
    missesCourse(rest.fit, courseOfRest(), usual.flow_m3s, settledAfter_s(context));
  const closelyRead = context.longInterval_s <= closelyRead_s;
  // A pump that runs dry, or is hindered, is no measure of what comes in.
  const measures = ended !== null && ended.course !== null && !isImpaired(capability, ended, after, closelyRead);
  const run = measures ? ended : null;
  const follows = context.longInterval_s < followsGround_s;
  if (!misses && !(run !== null && moves(run, after, usual.flow_m3s, closelyRead, follows))) return null;
  const run_s = run?.cycle.run_s ?? 0;
  const rest_s = to_s - from_s;
  const levels = courseOfRest();
  const most_m3 = mostIn_m3(levels, rest_s);
  const found = movingInflow({
    run: run?.course ?? null,
    run_s,
    rest: levels,
    rest_s,
    before: run === null ? rest.before : (run.before?.last ?? null),
    startedAt_s: from_s - run_s,
    capability,
    geometry: context.geometry,
    edge_s: Number.isFinite(context.interval_s) ? context.interval_s / (context.inferred ? 1 : 2) : 0,
    vagueEnd_s: context.inferred ? context.interval_s + 2 : 0,
    step_m3: stepOf_m3(context, run),
    sampleSd_m3: rest.sampleSd_m3,
    returned_m3: heldBack_m3?.(rest_s) ?? 0,
    backUnseenTo_s: rest.fit?.backUnseenTo_s ?? 0,
  });
  const whole = found?.over(run_s, run_s + rest_s);
  if (found === null || whole === undefined) return null;
  if (leavesOut(whole, rest, rest_s) || whole.flow_m3s * rest_s > most_m3) return null;
  const ends_s = Math.min(end_s, rest_s);
  const parts = inParts(found, run_s, run_s + rest_s);
  const flows = closelyRead ? asSureAsLevels(parts, found, run_s, rest_s) : parts;
  return {
    run: run === null ? null : inParts(found, 0, run_s),
    rest: flows,
    first: misses
      ? { inflow: found.over(run_s, run_s + ends_s), time_s: from_s + ends_s / 2, ...poured(flows, rest_s) }
      : beginning(rest, ends_s),
    last: {
      inflow: found.over(run_s + rest_s - ends_s, run_s + rest_s),
      time_s: to_s - ends_s / 2,
      ...poured(flows.toReversed(), rest_s),
    },
  };
}

/** So many times the least of a rest, for no more than such a share of it, is what pours in and not how a storm goes. */
const pours = 2;
const briefly = 0.25;

/** For how long it had come in so much faster towards one end, the first of these; null where it did not, or for long. */
function poured(flows: readonly FlowEstimate[], rest_s: number): Pick<InflowAt, "lasted_s"> | null {
  const all_m3s = flows.map(({ flow_m3s }) => flow_m3s);
  const [near_m3s = 0, least_m3s] = [all_m3s[0], Math.max(0, Math.min(...all_m3s))];
  const less = all_m3s.findIndex((flow_m3s) => flow_m3s < (near_m3s + least_m3s) / 2);
  if (!(near_m3s > pours * least_m3s) || less < 0 || less > briefly * flows.length) return null;
  return { lasted_s: (less * rest_s) / flows.length };
}

/** As brief as the end by the course: water that goes with the level comes in fastest then, and slowest at the end. */
function beginning({ fit, from_s }: RestInStorm, ends_s: number): InflowAt | null {
  if (fit === undefined) return null;
  const { seenFrom_s } = fit;
  return { inflow: fit.inflowOver(seenFrom_s, seenFrom_s + ends_s), time_s: from_s + seenFrom_s + ends_s / 2 };
}

/** A bucket's water is more than what a curve and a smoother of one rest may differ by. */
const bucket_m3 = 1e-3;

/** The few samples of what pours in as the rest ends are spikes to the smoother, and not to the rest's own curve. */
function leavesOut(course: FlowEstimate, { fit }: RestInStorm, rest_s: number): boolean {
  if (fit === undefined) return false;
  const missing_m3s = fit.inflow.flow_m3s - course.flow_m3s;
  const u_m3s = Math.hypot(fit.inflow.uFlow_m3s, course.uFlow_m3s);
  return missing_m3s * rest_s > bucket_m3 && missing_m3s > clearly * u_m3s;
}

/** What came in makes the water rise, by no more than lies between its levels, and beside those about as fast. Judgement, no source. */
const mostBeyond = 1.5;

function mostIn_m3({ t, y, count }: VolumeCourse, rest_s: number): number {
  const seen_s = (t[count - 1] as number) - (t[0] as number);
  if (!(seen_s > 0)) return Number.POSITIVE_INFINITY;
  return mostBeyond * Math.max(1, rest_s / seen_s) * rangeOf(y, count) + bucket_m3;
}

function inParts(found: MovingInflow, from_s: number, to_s: number): FlowEstimate[] {
  const parts = Math.min(mostParts, Math.max(1, Math.round((to_s - from_s) / part_s)));
  const length_s = (to_s - from_s) / parts;
  return Array.from({ length: parts }, (_, i) => found.over(from_s + i * length_s, from_s + (i + 1) * length_s));
}

/** How much came in up to some time in the rest is as sure as the levels then and at its beginning; when, is less so. */
function asSureAsLevels(parts: FlowEstimate[], found: MovingInflow, from_s: number, rest_s: number): FlowEstimate[] {
  const length_s = rest_s / parts.length;
  return parts.map((part, i) => {
    const { flow_m3s: next_m3s } = parts[i + 1] ?? part;
    const ofLevels_m3 = found.uVolume_m3(from_s, from_s + (i + 1) * length_s);
    return { ...part, uUpTo_m3: Math.hypot(ofLevels_m3, uWhenTurns_m3(part.flow_m3s, next_m3s, length_s)) };
  });
}

function moves(
  run: EndedRun,
  after: RestSummary,
  usual_m3s: number,
  closelyRead: boolean,
  followsGround: boolean,
): boolean {
  const { cycle, before, course } = run;
  if (course === null) return false;
  if (cycle.run_s > longRun_s) return true;
  if (!followsGround && comesByLevel(before, after)) return false;
  const from = before?.last?.inflow ?? null;
  const to = after.first?.inflow ?? null;
  if (Math.max(from?.flow_m3s ?? 0, to?.flow_m3s ?? 0) > stormy * usual_m3s) return true;
  if (from === null || to === null) return false;
  // A few readings of a run would make of a pump that moves less than it did a storm of seconds.
  if (!closelyRead && isBeyond(run, from.flow_m3s, to.flow_m3s, usual_m3s)) return false;
  const u = Math.hypot(from.uFlow_m3s, to.uFlow_m3s);
  return Math.abs(to.flow_m3s - from.flow_m3s) > Math.max(4 * u, changed * usual_m3s);
}

/** Whether a pump that moves what it usually does would leave far more or less to come in than on either side. */
function isBeyond({ whole }: EndedRun, from_m3s: number, to_m3s: number, usual_m3s: number): boolean {
  if (whole === null) return false;
  const inflow_m3s = usual_m3s - whole.flow_m3s;
  const slack_m3s = stormy * usual_m3s;
  return inflow_m3s > Math.max(from_m3s, to_m3s) + slack_m3s || inflow_m3s < Math.min(from_m3s, to_m3s) - slack_m3s;
}

const groups = 12;
const lastBlocks = 8;
/** A curve that a sensor's wandering alone leads astray misses the volume by less. */
const missed_m3 = 0.6e-3;
const missed_s = 0.4;
const clearly = 5;

/** By then a closing valve has let back what it does, and a level by which the stop was told is the rest's own. */
function settledAfter_s({ inferred, interval_s }: TrackerContext): number {
  return inferred && interval_s > closelyRead_s ? Math.max(15, interval_s) : 8;
}

/** Whether a part of the rest, or its very end, lies clear of the fitted course. */
function missesCourse(fit: RestFit, { t, y, n, count }: VolumeCourse, usual_m3s: number, settled_s: number): boolean {
  const { seenFrom_s, seenTo_s } = fit;
  const first_s = Math.max(seenFrom_s + Math.min(settled_s, (seenTo_s - seenFrom_s) / 4), fit.backUnseenTo_s ?? 0);
  let from = 0;
  while (from < count && (t[from] as number) < first_s) from += 1;
  if (count - from < 2 * groups) return false;
  const parts = fit.inflowParts(2 * groups);
  const length_s = (seenTo_s - seenFrom_s) / parts.length;
  const left = leftOver(parts, length_s, seenFrom_s, { t, y, n, count }, from);
  const meanOf = (start: number, end: number) => ((left[end] as number) - (left[start] as number)) / (end - start);
  const all = meanOf(from, count);
  // Noise is asked about only where a part lies far enough off without it.
  let sd = 0;
  const far = (start: number, end: number) =>
    Math.abs(meanOf(start, end) - all) >
    Math.max((clearly * sd) / Math.sqrt(end - start), missed_m3, missed_s * usual_m3s);
  const anyFar = () => {
    for (let g = 0; g < groups; g += 1) {
      const start = from + Math.floor(((count - from) * g) / groups);
      if (far(start, from + Math.floor(((count - from) * (g + 1)) / groups))) return true;
    }
    return far(count - lastBlocks, count);
  };
  if (!anyFar()) return false;
  sd = Math.sqrt(noiseOf({ t, y, n, count }) / Math.max(1, n[count - 1] ?? 1));
  return anyFar();
}

/** Of a rest that the sums of this file have to themselves. */
function without(heldBack_m3: ((t: number) => number) | null, course: VolumeCourse): VolumeCourse {
  if (heldBack_m3 === null) return course;
  for (let i = 0; i < course.count; i += 1) course.y[i] = (course.y[i] as number) - heldBack_m3(course.t[i] as number);
  return course;
}

const column = () => new Float64Array(mostInCourse);
/** The course of a rest is not kept. */
const room = [column(), column(), column()] as const;
const sumsIn = workplace();
const raisedIn = workplace();

/** Running sums of what the rise through the parts leaves of the volumes: at `i` of those from `from` to before `i`. */
function leftOver(
  parts: readonly number[],
  length_s: number,
  seenFrom_s: number,
  { t, y, count }: VolumeCourse,
  from: number,
): Float64Array {
  const raised = raisedIn(parts.length + 1);
  raised[0] = 0;
  for (let k = 0; k < parts.length; k += 1) raised[k + 1] = (raised[k] as number) + (parts[k] as number) * length_s;
  const sums = sumsIn(count + 1);
  sums[from] = 0;
  // From the first volume on: what all have in common would only cost digits.
  const first_m3 = y[from] as number;
  for (let i = from; i < count; i += 1) {
    const place = Math.min(parts.length - 1e-9, Math.max(0, ((t[i] as number) - seenFrom_s) / length_s));
    const k = Math.floor(place);
    const rise_m3 = (raised[k] as number) + ((raised[k + 1] as number) - (raised[k] as number)) * (place - k);
    sums[i + 1] = (sums[i] as number) + (y[i] as number) - first_m3 - rise_m3;
  }
  return sums;
}

function stepOf_m3({ resolution_m, geometry, basin }: TrackerContext, run: EndedRun | null): number {
  if (!Number.isFinite(resolution_m)) return 0;
  return resolution_m * geometry.area_m2(run?.meanLevel_m ?? basin.stopLevel_m ?? 0);
}
