// The cycles through the readings that are remembered: followed one by one or, where that leads nowhere, by their number and
// the time that the pump ran; and what they teach of the pump.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import { movesOtherwise } from "./another-pump.ts";
import { uReadingOf } from "./cycle-grid.ts";
import { flutters } from "./flutter.ts";
import { type Followed as Course, followCycles } from "./follow-cycles.ts";
import { keepsStep, timesThroughCycle, uShareInStep } from "./keeps-step.ts";
import { type Mark, type OverStretch, overStretch, type SparseContext } from "./over-stretch.ts";
import { laterOn, learnedPump, pumpAsFollowed, shownByCycles } from "./pump-by-cycles.ts";
import { type StartsOfStretch, startsOfStretch } from "./reckoned-starts.ts";
import type { RunShareState } from "./run-share-state.ts";
import { tossesAbout } from "./tosses-about.ts";

const helping = { atFirst: 12, byLevel: 24, bySignal: 60 } as const;
const mostFollowed = 60;
const mostEnds = 8;
/** They are followed where each reading's place is so much likelier than by chance (mean logarithm). */
const follows = 0.7;
/** Where that is by so much less than it was of late, the pump may no longer be what it was; by what it is now about as of late. */
const clearlyLess = 0.25;
const asBefore = 0.35;
const fade = 1 / 8;
/** Nearly all that the pump moves comes in; then it runs for more of the time than this share of that. */
const nearlyAll = 0.8;
const runsThen = 0.5;
/** Of so many readings that should be of runs, hardly any was. */
const manyInRuns = 6;
const hardlyRuns = 0.25;
/** What all cycles have alike is known to this share: what lies between the floats, comes back, is lost until up to speed. */
const uAlike = 0.012;
/** Of how far off an interval may be by itself, what is left over a minute or more: the next makes the rest good. */
const leftOver = 0.5;

export interface Followed extends OverStretch {
  readonly parts: readonly FlowEstimate[];
  readonly starts: StartsOfStretch;
}

/** The cycles from `from` to the newest reading; null where they cannot be followed. */
export function follow(state: RunShareState, from: Mark, context: SparseContext): Followed | null {
  const { marks } = state;
  const { active_m3, stop_m3 } = context;
  const first = placeOf(marks, from);
  const now = marks.at(-1) as Mark;
  if (active_m3 === null || stop_m3 === null || first < 0 || first > marks.length - 3) return null;
  if (marks.length - first > mostFollowed || tossesAbout(marks, placeOf(marks, from), context) || flutters(from, now))
    return null;
  const followed = courseOf(state, first, context, { stop_m3, active_m3 });
  if (followed === null) return null;
  const { pump, along, asked, ceasedBefore, isAnother } = followed;
  const length_s = now.time_s - from.time_s;
  const flows = along.flow_m3s.slice(asked);
  const steps_s = flows.map((_, i) => (marks[first + i + 1]?.time_s ?? 0) - (marks[first + i]?.time_s ?? 0));
  const flow_m3s = flows.reduce((sum, flow, i) => sum + flow * (steps_s[i] ?? 0), 0) / length_s;
  const ran_s = now.ran_s - from.ran_s;
  const { flow_m3s: moves_m3s } = along.pump;
  const share = flow_m3s / moves_m3s;
  const through = timesThroughCycle(share, active_m3, moves_m3s, length_s, context.interval_s);
  // In step, at all readings the pump runs, or at none.
  const ran = keepsStep(through) ? share : ran_s / length_s;
  if (isBelied(share, ran, length_s / context.interval_s)) return null;
  const inflow = {
    flow_m3s,
    uFlow_m3s: Math.hypot(along.uMean_m3s, uAlike * flow_m3s, moves_m3s * uShareInStep(share, through)),
    degreesOfFreedom: along.pump.degreesOfFreedom,
  };
  if (isAnother) {
    const lifted_m3 = flow_m3s * length_s;
    context.anew(pumpAsFollowed(state.shown), { now: along.pump, volume_m3: lifted_m3, runs: lifted_m3 / active_m3 });
    forgetPump(state);
  }
  state.pump = isAnother ? along.pump : learnedPump(pump, along.pump, share, active_m3);
  const ceased = (i: number) => ceasedAtOnce(along.flow_m3s, i, moves_m3s, ceasedBefore);
  const last = { time_s: now.time_s, pump: state.pump, flow_m3s: flows.at(-1) ?? flow_m3s };
  const end = ceased(along.flow_m3s.length - 1) ? { ...last, ceased: true as const } : last;
  state.ends = [...state.ends.slice(-(mostEnds - 1)), end];
  const volume_m3 = flow_m3s * length_s - (now.volume_m3 - from.volume_m3);
  const starts = startsOfStretch(from.time_s, flows, steps_s, inflow, along.pump, active_m3);
  const shown = shownByCycles(state.shown, state.pump, share, starts.starts);
  if (shown !== undefined) state.shown = shown;
  return {
    inflow,
    starts,
    parts: flows.map((flow, i) => ({
      ...inflow,
      flow_m3s: flow,
      uBend_m3s: leftOver * (along.u_m3s[asked + i] ?? 0),
      ...(now.on === null && ceased(asked + i) && { unseenCourse: "least" as const }),
    })),
    pumped: {
      volume_m3,
      uVolume_m3: inflow.uFlow_m3s * length_s,
      run_s: Number.isNaN(ran_s) ? volume_m3 / moves_m3s + lostInSpinUp_s * starts.starts : ran_s,
    },
    uByChance_m3s: inflow.uFlow_m3s,
    counted: null,
  };
}

interface FollowedCourse {
  /** What was known of the pump before. */
  readonly pump: FlowEstimate;
  readonly along: Course;
  /** Steps in `along` that only helped. */
  readonly asked: number;
  /** It moves otherwise than was known. */
  readonly isAnother: boolean;
  readonly ceasedBefore: boolean;
}

/** From the reading `first` on, with the help of some before as long as the pump moves what it did; null where nothing follows. */
function courseOf(
  state: RunShareState,
  first: number,
  context: SparseContext,
  volumes: { readonly stop_m3: number; readonly active_m3: number },
): FollowedCourse | null {
  const { marks } = state;
  const now = marks.at(-1) as Mark;
  // What helps is not to tell of pump and inflow twice: they are taken as they were known where it begins.
  const oldest = marks[Math.max(0, first - (now.on === null ? helping.byLevel : helping.bySignal))] as Mark;
  const known = state.ends.find(({ time_s }) => time_s >= oldest.time_s) ?? null;
  const pump = surest(context.pump(), known?.pump ?? (state.pump && laterOn(state.pump)));
  if (pump === null) return null;
  const begin = known === null ? Math.max(0, first - helping.atFirst) : placeOf(marks, known);
  const asked = first - begin;
  // Beside a pump that helps the water falls by more than the cycles of one alone explain.
  if (asked < 0 || (now.helped ?? 0) > (marks[begin]?.helped ?? 0)) return null;
  const before_m3s = known?.flow_m3s ?? state.flow?.flow_m3s ?? 0;
  const floats = { ...volumes, uReading: uReadingOf(context.noise_m3, volumes.active_m3), tilt: context.tilt() };
  const along = followCycles(marks.slice(begin), floats, pump, before_m3s > 0 ? before_m3s : null, asked);
  const ceasedBefore = known?.ceased === true;
  const fits = along?.fits ?? Number.NEGATIVE_INFINITY;
  if (context.isAlone && !(fits > Math.max(follows, (state.fits ?? 0) - clearlyLess))) {
    const howWell = { atLeast: follows, ofLate: (state.fits ?? 0) - asBefore };
    const other = movesOtherwise(marks.slice(first), floats, pump, context.used(), howWell);
    if (other !== null) return { pump, along: other, asked: 0, isAnother: true, ceasedBefore };
  }
  if (along === null || !(fits > follows)) return null;
  state.fits = (state.fits ?? fits) + fade * (fits - (state.fits ?? fits));
  return { pump, along, asked, isAnother: false, ceasedBefore };
}

/** What was known of the pump by cycles is past. */
function forgetPump(state: RunShareState): void {
  delete state.shown;
  delete state.fits;
  state.ends = [];
}

/**
 * Nearly as much comes in as the pump moves, and it was seen to run for far less of the time: levels that only jump about
 * follow from one another best by rests of no length.
 */
function isBelied(share: number, ran: number, readings: number): boolean {
  if (share > nearlyAll && ran < runsThen * share) return true;
  return share * readings > manyInRuns && ran < hardlyRuns * share;
}

/** So much, as a share of what the pump moves, is a storm, and so little is none; it does not pass within so many readings. */
const stormy = 0.6;
const calm = 0.3;
const passesIn = 4;

/**
 * A storm has ceased from one reading to the next: a pump that runs on, with as much coming in as it moves, lets the level
 * stand or rise slowly as a trickle does at rest.
 *
 * @param flow_m3s from each reading to the next, of which the `i`th is asked for
 * @param before   so it was before them
 */
function ceasedAtOnce(flow_m3s: readonly number[], i: number, moves_m3s: number, before: boolean): boolean {
  let since = i;
  while (since >= 0 && (flow_m3s[since] as number) < calm * moves_m3s) since -= 1;
  if (since === i) return false;
  if (since < 0) return before;
  return flow_m3s.slice(Math.max(0, since + 1 - passesIn), since + 1).some((flow) => flow > stormy * moves_m3s);
}

/** What cycles and running time tell, unless the pump was hardly seen to run for it: a level that foams falls again and again. */
export function overTime({ marks }: RunShareState, from: Mark, now: Mark, context: SparseContext): OverStretch | null {
  if (tossesAbout(marks, placeOf(marks, from), context) || flutters(from, now)) return null;
  const found = overStretch(marks[0] as Mark, from, now, context);
  const pump = found === null ? null : context.pump();
  if (found === null || pump === null) return found;
  const length_s = now.time_s - from.time_s;
  const share = found.inflow.flow_m3s / pump.flow_m3s;
  return isBelied(share, found.pumped.run_s / length_s, length_s / context.interval_s) ? null : found;
}

export function placeOf(marks: readonly Mark[], { time_s: from_s }: { readonly time_s: number }): number {
  return marks.findIndex(({ time_s }) => time_s >= from_s);
}

export function pumpNow(state: RunShareState, context: SparseContext): FlowEstimate | null {
  return surest(context.pump(), state.pump && laterOn(state.pump));
}

function surest(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  // Where nothing is to be relied on of the pump, what it used to move is no help.
  if (a === null || b === null) return a;
  return b.uFlow_m3s * a.flow_m3s < a.uFlow_m3s * b.flow_m3s ? b : a;
}
