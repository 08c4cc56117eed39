// Inflow over a stretch of time, handed on as it becomes known: to the peaks, and to whoever listens.

import type { AnalyzerSink } from "../../analyzer-contract.ts";
import type { AnalyzerState } from "../../analyzer-state.ts";
import type { FlowEstimate } from "../../cycles/cycle.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { rootOfSquares } from "../../statistics/root-of-squares.ts";
import { type SharedErrors, withShared } from "../../uncertainty/shared-errors.ts";
import { pumpAsFollowed } from "../seldom-readings/pump-by-cycles.ts";
import { addDoubted, uDoubt_m3s } from "./doubted.ts";
import { addStretch, noteAtOnce, noteLeast } from "./rolling-peaks.ts";
import { noteAlike } from "./total-inflow.ts";

/**
 * @param parts  over equal parts of the stretch; null where the inflow is unknown
 * @param joined errors are those of the stretch before
 */
export function passInflow(
  state: AnalyzerState,
  shared: SharedErrors,
  sink: AnalyzerSink,
  from_s: number,
  to_s: number,
  parts: readonly FlowEstimate[] | null,
  joined = false,
): void {
  if (parts === null) {
    if (cameInMuch(state)) state.tally.unfollowed_s += to_s - from_s;
    return;
  }
  if (!joined) state.estimates += 1;
  addDoubted(state.doubted, state.peaks, from_s, to_s, parts, state.estimates);
  const length_s = (to_s - from_s) / parts.length;
  parts.forEach((part, i) => {
    const partFrom_s = from_s + i * length_s;
    const partTo_s = i === parts.length - 1 ? to_s : partFrom_s + length_s;
    const { flow_m3s, uFlow_m3s, uBend_m3s = 0 } = part;
    const uNotNoise_m3s = uDoubt_m3s(part);
    const uUpTo_m3 = uNotNoise_m3s > 0 ? undefined : part.uUpTo_m3;
    const beside = { uBend_m3s, uUpTo_m3, uNotNoise_m3s };
    addStretch(state.peaks, partFrom_s, partTo_s, flow_m3s, uFlow_m3s, state.estimates, beside);
    if (part.uAlike_m3s !== undefined) noteAlike(state.peaks, part.uAlike_m3s * (partTo_s - partFrom_s));
    noteUnseenCourse(state, part, partTo_s - partFrom_s);
    sink.inflow?.({
      from_s: partFrom_s,
      to_s: partTo_s,
      inflow_m3s: flow_m3s,
      uInflow_m3s: rootOfSquares(withShared(part, shared).uFlow_m3s, rootOfSquares(uBend_m3s, uNotNoise_m3s)),
    });
  });
  const { share, tally, tracker } = state;
  // By a contact, runs of unknown length told together are known to what they are worth.
  tally.pumpRate = capabilityAt(tracker.capability, null) ?? (share.on === null ? pumpAsFollowed(share.shown) : null);
  if (tracker.pumps.origin === null) return;
  tally.secondRate = capabilityAt(tracker.second.capability, null);
  tally.bothRate = capabilityAt(tracker.both.capability, null);
}

/** So many times the mean is a storm: time in it of which nothing is known makes the mean of the rest too small. */
const much = 2;

function cameInMuch({ tracker: { lastInflow }, peaks: { totalTime_s, totalVolume_m3 } }: AnalyzerState): boolean {
  return lastInflow !== null && totalTime_s > 0 && lastInflow.flow_m3s > (much * totalVolume_m3) / totalTime_s;
}

function noteUnseenCourse({ peaks, tally }: AnalyzerState, { unseenCourse, flow_m3s }: FlowEstimate, length_s: number) {
  if (unseenCourse === "all-of-it") noteAtOnce(peaks);
  if (unseenCourse !== "least") return;
  noteLeast(peaks, length_s, flow_m3s);
  tally.unfollowed_s += length_s;
}
