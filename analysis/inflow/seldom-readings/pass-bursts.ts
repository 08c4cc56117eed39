// Puts bursts in the place of what rests and runs say of the same time, in order: those wait until it is known that nothing
// poured in.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import {
  type Burst,
  type BurstContext,
  type BurstStep,
  type BurstsState,
  breakBursts,
  newBursts,
  noteBurst,
  type Read,
} from "./bursts.ts";

export interface Stretch {
  readonly from_s: number;
  readonly to_s: number;
  /** Over equal parts; null where the inflow is unknown. */
  readonly parts: readonly FlowEstimate[] | null;
  readonly standsIn: boolean;
  /** A burst was cut off it: what is left is calm, and what its curve says of that may be of the burst. */
  readonly besideBurst?: true;
}

export interface PassBurstsState {
  readonly bursts: BurstsState;
  /** A burst that is over, until what comes before it is handed on. */
  held: Burst | null;
  /** Oldest first. */
  waiting: Stretch[];
  /** Of the newest burst, what was handed on of it. */
  told: BurstStep[];
  /** … and of those whose starts are not held against those seen yet, oldest first. */
  readonly uncounted: BurstStep[][];
}

export interface BurstsOutput {
  readonly ofCycles: (stretch: Stretch) => void;
  readonly burst: (burst: Burst) => void;
}

export function newPassBursts(): PassBurstsState {
  return { bursts: newBursts(), held: null, waiting: [], told: [], uncounted: [] };
}

/** Takes what rests and runs say. */
export function passCycles(state: PassBurstsState, stretch: Stretch, output: BurstsOutput, waits: boolean): void {
  state.waiting.push(stretch);
  if (!waits) passAll(state, output);
}

/** Takes a reading. */
export function passReading(state: PassBurstsState, now: Read, context: BurstContext, output: BurstsOutput): void {
  const over = noteBurst(state.bursts, now, context);
  // One that was not handed on yet when another is over has nothing before it that will be.
  if (over !== null) {
    if (state.held !== null) output.burst(state.held);
    state.held = over;
  }
  passUpTo(state, beganLatest_s(state.bursts) ?? now.time_s, output);
}

/** A gap, the end, or another estimate takes over. */
export function passAll(state: PassBurstsState, output: BurstsOutput): void {
  breakBursts(state.bursts);
  passUpTo(state, Number.POSITIVE_INFINITY, output);
}

function passUpTo(state: PassBurstsState, upTo_s: number, output: BurstsOutput): void {
  while (state.waiting.length > 0) {
    const [first] = state.waiting as [Stretch];
    const burst = state.held ?? state.bursts.burst;
    if (burst === null || first.to_s <= burst.from_s) {
      if (first.to_s > upTo_s) return;
      state.waiting.shift();
      output.ofCycles(first);
      continue;
    }
    // It goes on yet, and may prove to be none.
    if (state.held === null) return;
    if (first.from_s < burst.from_s) {
      state.waiting[0] = partOf(first, burst.from_s, first.to_s);
      output.ofCycles(partOf(first, first.from_s, burst.from_s));
    }
    output.burst(state.held);
    state.held = null;
  }
}

/** From there on a burst may begin yet. */
function beganLatest_s({ latest }: BurstsState): number | null {
  const first = latest?.steps[0];
  return first === undefined ? null : first.to_s - first.length_s;
}

/** As near as parts go. */
function partOf({ parts, standsIn, ...whole }: Stretch, from_s: number, to_s: number): Stretch {
  const length_s = whole.to_s - whole.from_s;
  const count = parts?.length ?? 0;
  const first = Math.min(count - 1, Math.floor((count * (from_s - whole.from_s)) / length_s));
  const end = Math.max(first + 1, Math.ceil((count * (to_s - whole.from_s)) / length_s));
  return { from_s, to_s, parts: parts === null ? null : parts.slice(first, end), standsIn, besideBurst: true };
}
