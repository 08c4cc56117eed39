// The inflow by a contact alone that is asked so seldom that it misses whole runs: by the cycles that fit between those that
// it saw or, where cycles are hardly longer than the time between readings, by the share of readings at which the pump ran.
// Says when that is so, and takes over until it no longer is.

import { type BriefRunsState, missesBriefRuns } from "../../cycles/by-signal/brief-runs.ts";
import type { FlowEstimate } from "../../cycles/cycle.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import type { PumpedByShare, SparseContext } from "./over-stretch.ts";
import { type StartsOfStretch, startsOfStretch } from "./reckoned-starts.ts";
import { betweenSeenRuns, type LengthOfRun, moved_m3s, type SeenRun } from "./seen-runs.ts";

export interface SampledContactState {
  /** Takes over. */
  active: boolean;
  /** Runs seen, oldest first. */
  seen: SeenRun[];
  /** The reading before, and the run under way: its first and latest reading, and how many there were. */
  before_s: number;
  first_s: number;
  last_s: number;
  on: number;
  /** Runs that began, and about the share of the latest that did with a reading by the clock: others tell of their edges themselves. */
  begun: number;
  byClock: number;
  /** How long a run lasts by itself, as the cycles so far have shown; null before any have. */
  run: LengthOfRun | null;
  /** Something was handed on since it has taken over. */
  told: boolean;
}

export interface SampledStretch {
  readonly inflow: FlowEstimate;
  /** So many cycles went by in it. */
  readonly cycles: number;
  readonly pumped: PumpedByShare;
  readonly starts: StartsOfStretch;
}

/** Of the time from one seen run to another. */
export type SampledOutput = (from_s: number, to_s: number, known: SampledStretch, joined: boolean) => void;

export function newSampledContact(): SampledContactState {
  const [before_s, first_s, last_s] = [Number.NaN, Number.NaN, Number.NaN];
  return { active: false, seen: [], before_s, first_s, last_s, on: 0, begun: 0, byClock: 0, run: null, told: false };
}

/** Cycles are followed over so many seen runs at a time, with the help of some before. */
const followed = 12;
const helping = 4;
/** Of fewer runs a single one seen twice says no more than that one was. */
const few = 5;
/** A pump that surely empties its basin in less than such a share of an interval leaves runs unseen, whatever is seen. */
const surelyBrief = 0.9;
/** A row is by the clock that comes when it is due, but for such a share of the interval; most do, or the log tells of changes. */
const onTheClock = 0.2;
const mostly = 0.5;
const latest = 8;
/** A cycle that lasts so many intervals is told from others by when its runs are seen. */
const longEnough = 6;
const severalReadings = 1.3;
/** A run may last longer or shorter by so much (logarithm) later. */
const uLater = 0.05;
/** Of the volume between the floats, as a share: levels set some millimetres off; judgement. */
const uActive = 0.03;
/** Degrees of freedom of what the readings tell. */
const many = Number.POSITIVE_INFINITY;

/**
 * Takes a reading of the contact.
 *
 * @param upTo_s up to here rests and runs have handed on what they tell
 * @returns up to where that is so now
 */
export function noteContact(
  state: SampledContactState,
  time_s: number,
  on: boolean | null,
  upTo_s: number,
  briefRuns: BriefRunsState,
  context: SparseContext,
  output: SampledOutput,
): number {
  const { before_s } = state;
  state.before_s = time_s;
  if (on === null) return upTo_s;
  if (on) {
    if (state.on === 0) noteBeginning(state, time_s, before_s, context.interval_s);
    state.last_s = time_s;
    state.on += 1;
    return upTo_s;
  }
  if (state.on === 0) return upTo_s;
  noteSeen(state);
  const seesEach = areLong(state, context.interval_s);
  if (seesEach) state.run = null;
  const misses = !seesEach && state.byClock > mostly && missesRuns(state, briefRuns, context);
  let told_s = upTo_s;
  if (!state.active && misses) {
    state.active = true;
    told_s = Math.max(upTo_s, (state.seen[0] as SeenRun).at_s);
  }
  if (!state.active) return told_s;
  const fresh = state.seen.filter(({ at_s }) => at_s > told_s).length;
  if (misses && fresh < followed) return told_s;
  told_s = close(state, told_s, context, output);
  state.active = misses;
  state.told = state.told && misses;
  return told_s;
}

/** A gap, or the end. */
export function breakContact(
  state: SampledContactState,
  upTo_s: number,
  context: SparseContext,
  output: SampledOutput,
): number {
  if (state.on > 0) noteSeen(state);
  const told_s = state.active ? close(state, upTo_s, context, output) : upTo_s;
  const { run, begun, byClock } = state;
  Object.assign(state, { ...newSampledContact(), run, begun, byClock });
  return told_s;
}

function missesRuns(state: SampledContactState, briefRuns: BriefRunsState, context: SparseContext): boolean {
  const { active_m3, interval_s } = context;
  if (active_m3 === null) return false;
  const usual = usualRun(state, active_m3, context.pump());
  // In a storm runs are longer, and rests go unseen, too.
  if (usual !== null && usual.length_s * Math.exp(usual.uLog) < surelyBrief * interval_s) return true;
  return briefRuns.runs < few ? briefRuns.share > mostly : missesBriefRuns(briefRuns, state.active);
}

/** By runs that so many readings saw, in less than such a share of the time, a pump that empties its basin between two is none. */
const longRuns = 2;
const seldomRuns = 0.5;

/** Whatever is known of the pump: a float that chattered at first looked like a quick one, and longer runs belie that. */
function areLong({ seen }: SampledContactState, interval_s: number): boolean {
  if (seen.length < few) return false;
  const latest = seen.slice(-followed);
  const readings = latest.reduce((sum, one) => sum + one.readings, 0);
  const length_s = (latest.at(-1) as SeenRun).at_s - (latest[0] as SeenRun).at_s;
  return readings > longRuns * latest.length && readings * interval_s < seldomRuns * length_s;
}

function noteBeginning(state: SampledContactState, time_s: number, before_s: number, interval_s: number): void {
  state.first_s = time_s;
  const due = Math.abs((time_s - before_s) / interval_s - 1) < onTheClock ? 1 : 0;
  state.begun += 1;
  state.byClock += (due - state.byClock) / Math.min(latest, state.begun);
}

function noteSeen(state: SampledContactState): void {
  state.seen.push({ at_s: (state.first_s + state.last_s) / 2, readings: state.on });
  state.on = 0;
  if (state.seen.length > followed + helping + 1) state.seen.shift();
}

/** Hands on what the runs seen since then tell. */
function close(state: SampledContactState, upTo_s: number, context: SparseContext, output: SampledOutput): number {
  const { active_m3, interval_s } = context;
  const first = state.seen.findIndex(({ at_s }) => at_s >= upTo_s);
  const runs = first < 0 ? [] : state.seen.slice(Math.max(0, first - helping));
  if (active_m3 === null || runs.length < 2) return upTo_s;
  const { gaps, run, pump } = inflowOfGaps(state, runs, active_m3, context);
  const pieces = piecesOf(gaps, upTo_s);
  pieces.forEach((piece, i) => {
    const inflow = piece.inflow ?? byReadings(piece, pump, interval_s);
    // What is wrong with the length of a run is so with all that the readings tell.
    const asBefore = piece.inflow === null ? state.told : i > 0;
    output(piece.from_s, piece.to_s, sampledStretch(piece, inflow, run, pump, active_m3, interval_s), asBefore);
    state.told = true;
  });
  return pieces.at(-1)?.to_s ?? upTo_s;
}

interface Stretch {
  readonly from_s: number;
  readonly to_s: number;
  /** At which the pump ran, and starts that were seen. */
  readonly readings: number;
  readonly starts: number;
  /** By the cycles that fit in it; null where the share of readings at which the pump ran tells it. */
  readonly inflow: FlowEstimate | null;
}

/** The inflow from each seen run to the next, how long a run lasts, and what the pump moves; learns the length of a run. */
function inflowOfGaps(
  state: SampledContactState,
  runs: readonly SeenRun[],
  active_m3: number,
  context: SparseContext,
): { readonly gaps: readonly Stretch[]; readonly run: LengthOfRun; readonly pump: FlowEstimate } {
  const { interval_s } = context;
  const gaps: readonly Stretch[] = runs.slice(1).map((run, i) => ({
    from_s: (runs[i] as SeenRun).at_s,
    to_s: run.at_s,
    readings: ((runs[i] as SeenRun).readings + run.readings) / 2,
    starts: 1,
    inflow: null,
  }));
  const whole = gaps.reduce(joined);
  // Where runs are seen by several readings rests may go unseen, and several runs look like one.
  const several = whole.readings > severalReadings * whole.starts;
  const isDense = (flow_m3s: number, run: LengthOfRun) => active_m3 / flow_m3s + run.length_s < longEnough * interval_s;
  const allDense = (run: LengthOfRun) =>
    several && isDense(byReadings(whole, pumpOf(run, active_m3), interval_s).flow_m3s, run);
  const usual = usualRun(state, active_m3, context.pump());
  if (usual !== null && allDense(usual)) return { gaps, run: usual, pump: pumpOf(state.run ?? usual, active_m3) };
  const found = betweenSeenRuns(runs, interval_s, active_m3, usual);
  const uLog = found.uBriefest_s / found.briefest_s;
  const run = usual ?? { length_s: found.briefest_s, uLog };
  if (usual === null && allDense(run)) return { gaps, run, pump: pumpOf(run, active_m3) };
  const known = gaps.map((gap, i) => {
    const [flow_m3s, uFlow_m3s] = [found.flow_m3s[i] as number, found.u_m3s[i] as number];
    return isDense(flow_m3s, run) ? gap : { ...gap, inflow: { flow_m3s, uFlow_m3s, degreesOfFreedom: many } };
  });
  if (known.every(({ inflow }) => inflow !== null))
    state.run = { length_s: found.briefest_s, uLog: Math.hypot(uLog, uLater) };
  return { gaps: known, run, pump: pumpOf(state.run ?? run, active_m3) };
}

/** What is to be told yet: gaps by themselves or, where the share of readings tells, all that follow each other as one. */
function piecesOf(gaps: readonly Stretch[], upTo_s: number): Stretch[] {
  const pieces: Stretch[] = [];
  for (const gap of gaps) {
    if (!(gap.to_s > upTo_s)) continue;
    const fresh = { ...gap, from_s: Math.max(gap.from_s, upTo_s) };
    const before = pieces.at(-1);
    if (before?.inflow === null && fresh.inflow === null) pieces[pieces.length - 1] = joined(before, fresh);
    else pieces.push(fresh);
  }
  return pieces;
}

/** Of a stretch with such an inflow. */
function sampledStretch(
  { from_s, to_s, readings }: Stretch,
  flow: FlowEstimate,
  run: LengthOfRun,
  pump: FlowEstimate,
  active_m3: number,
  interval_s: number,
): SampledStretch {
  const length_s = to_s - from_s;
  const { flow_m3s } = flow;
  const uFlow_m3s = Math.hypot(flow.uFlow_m3s, uActive * flow_m3s);
  // How much came in is told, not when.
  const inflow = { ...flow, uFlow_m3s, unseenCourse: "all-of-it" as const };
  return {
    inflow,
    cycles: Math.max(1, Math.round(length_s / (active_m3 / flow_m3s + run.length_s))),
    pumped: { volume_m3: flow_m3s * length_s, uVolume_m3: uFlow_m3s * length_s, run_s: readings * interval_s },
    starts: startsOfStretch(from_s, [flow_m3s], [length_s], inflow, pump, active_m3),
  };
}

/** Two that follow each other, and of which the share of readings tells. */
function joined(one: Stretch, next: Stretch): Stretch {
  return {
    from_s: one.from_s,
    to_s: next.to_s,
    readings: one.readings + next.readings,
    starts: one.starts + next.starts,
    inflow: null,
  };
}

/** By the share of readings at which the pump ran: each is a draw as far as it is not as the one before. */
function byReadings({ from_s, to_s, readings, starts }: Stretch, pump: FlowEstimate, interval_s: number): FlowEstimate {
  const all = (to_s - from_s) / interval_s;
  const share = Math.min(1, readings / all);
  const variance = share * (1 - share);
  const alike = Math.min(1, (starts + 1) / (all * variance));
  const uShare = Math.sqrt((variance * (2 - alike)) / alike / all);
  return {
    flow_m3s: share * pump.flow_m3s,
    uFlow_m3s: share * pump.uFlow_m3s,
    uBend_m3s: uShare * pump.flow_m3s,
    degreesOfFreedom: many,
  };
}

function pumpOf({ length_s, uLog }: LengthOfRun, active_m3: number): FlowEstimate {
  const flow_m3s = moved_m3s(active_m3, length_s);
  return { flow_m3s, uFlow_m3s: uLog * flow_m3s, degreesOfFreedom: many };
}

/** As cycles have shown it or, if that says more, by what the pump is known to move. */
function usualRun({ run }: SampledContactState, active_m3: number, pump: FlowEstimate | null): LengthOfRun | null {
  if (pump === null) return run;
  const uLog = pump.uFlow_m3s / pump.flow_m3s;
  return run !== null && run.uLog < uLog ? run : { length_s: active_m3 / pump.flow_m3s + lostInSpinUp_s, uLog };
}
