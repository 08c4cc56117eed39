// Rests of which the stop or the start was not seen, where no level shows what came in: at the beginning and the end of a
// recording, and beside a gap. Left out of the mean, the dry days after a storm would be, for those have the long rests.

import { partOfActive } from "../inflow/active-volume.ts";
import type { FlowEstimate } from "./cycle.ts";
import { stoodOverStart } from "./stood-over-start.ts";
import type { TrackerContext } from "./tracker-context.ts";
import type { TrackerState } from "./tracker-state.ts";

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
  const { phaseFrom_s, unbegunFrom_s = Number.NaN, unbegun_s } = state;
  delete state.unbegunFrom_s;
  if (context.hasLevel || context.byShare === true) return;
  if (inflow !== null && unbegun_s !== undefined) {
    delete state.unbegun_s;
    handOn(context, unbegun_s, inflow);
  }
  if (phaseFrom_s !== null && startSeen) return;
  const from_s = phaseFrom_s ?? unbegunFrom_s;
  if (!(to_s > from_s) || stoodOverStart(state, context, from_s, to_s)) return;
  if (state.lastInflow !== null) handOn(context, to_s - from_s, state.lastInflow);
  else if (startSeen) state.unbegun_s = to_s - from_s;
}

function handOn(context: TrackerContext, length_s: number, beside: FlowEstimate): void {
  const part = partOfActive(context, length_s, beside);
  if (part !== null) context.output.partOfRest(length_s, part.volume_m3, part.uVolume_m3);
}
