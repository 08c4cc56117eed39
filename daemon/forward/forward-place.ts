// Where forwarding begins, or carries on: the place that the store keeps, and what stands in it of the readings so far.

import * as z from "zod";
import type { LevelSumsState, ReadingEncoderState } from "../stores/influx/points.ts";
import type { ForwardPlace, Store } from "../stores/store.ts";

/** What is remembered of the readings up to a place. */
export interface ReadingsState {
  readonly encoder: ReadingEncoderState;
  readonly sums: LevelSumsState;
}

const isObject = (value: unknown) => typeof value === "object" && value !== null;
const stateSchema = z.object({
  encoder: z.custom<ReadingEncoderState>(isObject),
  sums: z.custom<LevelSumsState>(isObject),
});

/** Nothing at the beginning. */
export function readingsState(place: ForwardPlace): Partial<ReadingsState> {
  return place.state === "" ? {} : stateSchema.parse(JSON.parse(place.state));
}

/** Of what has been dropped by then, nothing was ever to be sent. */
export function beginning(store: Pick<Store, "forward">, target: string): ForwardPlace {
  const start_s = Number.NEGATIVE_INFINITY;
  const derived = { cyclesTo_s: start_s, findingsTo_s: start_s, inflowTo_s: start_s, anewFrom_s: null };
  return { target, readings: store.forward.kept().dropped, state: "", ...derived };
}

/** @param target a place that was in another counts for nothing */
export function loadPlace(store: Pick<Store, "forward">, target: string): ForwardPlace {
  const found = store.forward.place();
  if (found === null || found.target !== target) return beginning(store, target);
  const from_s = found.anewFrom_s ?? Number.POSITIVE_INFINITY;
  return {
    ...found,
    cyclesTo_s: Math.min(found.cyclesTo_s, from_s),
    findingsTo_s: Math.min(found.findingsTo_s, from_s),
    inflowTo_s: Math.min(found.inflowTo_s, from_s),
  };
}
