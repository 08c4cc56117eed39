// Rests of which the stop or the start was not seen, where no level shows what came in: at the beginning and the end of a
// recording, and beside a gap. Left out of the mean, the dry days after a storm would be, for those have the long rests.

import { partOfActive } from "../inflow/active-volume.ts";
import type { FlowEstimate } from "./cycle.ts";
import { stoodOverStart } from "./stood-over-start.ts";
import type { TrackerContext } from "./tracker-context.ts";
import type { TrackerState } from "./tracker-state.ts";

/** Rests that wait for the first of which the inflow is known: the latest of them, if it ended with a start, and all others. */
export interface WaitingParts {
  readonly latest_s: number | null;
  readonly others: number;
  /** Of all the others together. */
  readonly length_s: number;
}

/**
 * Takes the end of a rest, and hands on what may have come in where it was not seen as a whole, by the inflow of the rest
 * before it. Of the first that is known once the next is over.
 *
 * @param startSeen it ended with a start
 * @param inflow    of a rest that was seen as a whole; null: it was not, or nothing is known of it
 */
export function notePartOfRest(
  state: TrackerState,
  context: TrackerContext,
  to_s: number,
  startSeen: boolean,
  inflow: FlowEstimate | null,
): void {
  const { phaseFrom_s, unbegunFrom_s = Number.NaN, unbegun } = state;
  delete state.unbegunFrom_s;
  if (context.hasLevel || context.byShare === true) return;
  if (inflow !== null && unbegun !== undefined) {
    delete state.unbegun;
    if (unbegun.latest_s !== null) handOn(context, unbegun.latest_s, inflow);
    if (unbegun.others > 0) handOnOthers(context, unbegun, inflow);
  }
  if (phaseFrom_s !== null && startSeen) return;
  const from_s = phaseFrom_s ?? unbegunFrom_s;
  if (!(to_s > from_s) || stoodOverStart(state, context, from_s, to_s)) return;
  if (state.lastInflow !== null) handOn(context, to_s - from_s, state.lastInflow);
  else state.unbegun = withPart(unbegun, to_s - from_s, startSeen);
}

function withPart(waiting: WaitingParts | undefined, length_s: number, startSeen: boolean): WaitingParts {
  const before = [waiting?.latest_s ?? null, startSeen ? null : length_s].filter((each) => each !== null);
  return {
    latest_s: startSeen ? length_s : null,
    others: (waiting?.others ?? 0) + before.length,
    length_s: before.reduce((sum, each_s) => sum + each_s, waiting?.length_s ?? 0),
  };
}

function handOn(context: TrackerContext, length_s: number, beside: FlowEstimate): void {
  const part = partOfActive(context, length_s, beside);
  if (part !== null) context.output.partOfRest(length_s, part.volume_m3, part.uVolume_m3);
}

/** Each as long as the others. What came in hours later may be nothing like it: nothing, or twice as much (uniform: GUM 4.3.7). */
function handOnOthers(context: TrackerContext, { others, length_s }: WaitingParts, later: FlowEstimate): void {
  const part = partOfActive(context, length_s / others, later);
  if (part === null) return;
  const volume_m3 = others * part.volume_m3;
  context.output.partOfRest(length_s, volume_m3, Math.max(others * part.uVolume_m3, volume_m3 / Math.sqrt(3)));
}
