// Two pumps as one, where readings are too far apart for runs and rests: what a run moves of which nobody knows whose it is,
// and how many times as much is moved while it is known which of them run.

import type { FlowEstimate } from "../cycle.ts";
import type { PumpSet } from "./pump-sets.ts";

/** Null: not known. */
export interface TwoFlows {
  readonly first: FlowEstimate | null;
  readonly second: FlowEstimate | null;
  readonly both: FlowEstimate | null;
}

export interface Times {
  readonly times: number;
  /** Standard uncertainty, beyond that of the one pump that they are held against. */
  readonly uTimes: number;
}

/**
 * Of two that share the runs: either may have made any of them.
 *
 * @param ofFirst share of the runs that are the first one's
 */
export function eitherOfTwo({ first, second }: TwoFlows, ofFirst: number): FlowEstimate | null {
  if (first === null || second === null) return first ?? second;
  const ofSecond = 1 - ofFirst;
  const off_m3s = Math.sqrt(ofFirst * ofSecond) * (first.flow_m3s - second.flow_m3s);
  return {
    flow_m3s: ofFirst * first.flow_m3s + ofSecond * second.flow_m3s,
    uFlow_m3s: Math.hypot(ofFirst * first.uFlow_m3s, ofSecond * second.uFlow_m3s, off_m3s),
    degreesOfFreedom: Math.min(first.degreesOfFreedom, second.degreesOfFreedom),
  };
}

/** How many times as much as `one` those that run move; null where nothing tells. */
export function timesOf(set: PumpSet, { first, second, both }: TwoFlows, one: FlowEstimate): Times | null {
  if (set === 0) return { times: 0, uTimes: 0 };
  const moves = set === 1 ? first : set === 2 ? second : both;
  // How far off the one pump may be holds either of the two by itself.
  return moves && { times: moves.flow_m3s / one.flow_m3s, uTimes: set === 3 ? moves.uFlow_m3s / one.flow_m3s : 0 };
}
