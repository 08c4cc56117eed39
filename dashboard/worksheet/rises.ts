// The repeats of the hand test as they are being written down.

import { computed, signal } from "@preact/signals";
import type { WatchedRise } from "../../analysis/sizing/hand-test.ts";

export interface TypedRise {
  readonly id: number;
  readonly rise_m: number | null;
  readonly watched_s: number | null;
  /** Level at the beginning, where the sensor read it. */
  readonly from_m: number | null;
}

let nextId = 1;

export function freshRise(known: Partial<Omit<TypedRise, "id">> = {}): TypedRise {
  return { id: nextId++, rise_m: null, watched_s: null, from_m: null, ...known };
}

export const typedRises = signal<readonly TypedRise[]>([freshRise(), freshRise(), freshRise()]);

/** Those that can be reckoned with. */
export const wholeRises = computed<readonly WatchedRise[]>(() =>
  typedRises.value.flatMap(({ rise_m, watched_s, from_m }) =>
    rise_m === null || watched_s === null ? [] : [{ rise_m, watched_s, from_m }],
  ),
);

/** Writes a rise that the sensor watched into the first empty repeat. */
export function writeRise(rise: WatchedRise): void {
  const at = typedRises.peek().findIndex(({ rise_m, watched_s }) => rise_m === null && watched_s === null);
  const rows = typedRises.peek();
  typedRises.value = at < 0 ? [...rows, freshRise(rise)] : rows.map((row, i) => (i === at ? { ...row, ...rise } : row));
}
