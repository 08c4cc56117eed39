// What is usual for this house, from its record: how long the pump rests at most, how much water comes in a day.
// Looked up now and then, for it changes slowly and reading costs.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Store } from "../../stores/store.ts";

export interface HouseHabits {
  readonly lastRun_s: number | null;
  readonly unusualPause_s: number | null;
  /** Of the last 24 hours, and of the day in the middle of the last 60; null where too little is known. */
  readonly inflowDay_m3: number | null;
  readonly usualDay_m3: number | null;
  /** The higher of the two days before the last 24 hours; null: neither is known. */
  readonly dayBefore_m3: number | null;
}

/** What of a store tells of the house; one that cannot be put back from a copy does not say when it was. */
export type HouseRecord = Pick<Store, "cycles" | "inflow"> & Partial<Pick<Store, "putBack">>;

const day_s = 86_400;
const looksBack_s = 400 * day_s;
const daysLookedAt = 60;
const fewestDays = 14;
const fewestRests = 20;
/** Until the house is known, and for one that pumps daily: common practice, no source. */
const longestAtFirst_s = 30 * day_s;
const shortestUnusual_s = 7 * day_s;

export function houseHabits(store: HouseRecord, now_s: number): HouseHabits {
  const cycles = store.cycles({ from_s: now_s - looksBack_s, to_s: now_s }, 5000);
  const stretches = store.inflow({ from_s: now_s - (daysLookedAt + 1) * day_s, to_s: now_s }, (daysLookedAt + 1) * 24);
  const days = Array.from({ length: daysLookedAt + 1 }, (_, k) =>
    volume_m3(stretches, { from_s: now_s - (k + 1) * day_s, to_s: now_s - k * day_s }),
  );
  const [today = null, ...before] = days;
  const known = before.filter((each) => each !== null).toSorted((a, b) => a - b);
  return {
    lastRun_s: lastRun(cycles, store.putBack?.()?.to_s ?? null),
    unusualPause_s: unusualPause(cycles),
    inflowDay_m3: today,
    dayBefore_m3: before.slice(0, 2).reduce(higher, null),
    usualDay_m3: known.length < fewestDays ? null : (known[known.length >> 1] ?? null),
  };
}

/** Of the time that a record has nothing of, since it was put back from a copy, nobody knows whether the pump ran. */
function lastRun([last]: readonly Cycle[], unknownTo_s: number | null): number | null {
  return last === undefined ? null : higher(last.stoppedAt_s, unknownTo_s);
}

function higher(a: number | null, b: number | null): number | null {
  return a === null ? b : b === null ? a : Math.max(a, b);
}

/** Twice the longest rest so far, and never under a week. */
function unusualPause(cycles: readonly Cycle[]): number | null {
  const rests = cycles.flatMap(({ rest_s }) => (rest_s === null ? [] : [rest_s]));
  if (cycles.length === 0) return null;
  if (rests.length < fewestRests) return longestAtFirst_s;
  return Math.max(shortestUnusual_s, 2 * Math.max(...rests));
}

/** What the stretches of a day come to; null where less than half of it is known. */
function volume_m3(
  stretches: readonly InflowStretch[],
  span: { readonly from_s: number; readonly to_s: number },
): number | null {
  let sum_m3 = 0;
  let known_s = 0;
  for (const { from_s, to_s, inflow_m3s } of stretches) {
    const length_s = Math.min(to_s, span.to_s) - Math.max(from_s, span.from_s);
    if (length_s <= 0) continue;
    sum_m3 += inflow_m3s * length_s;
    known_s += length_s;
  }
  return known_s < day_s / 2 ? null : (sum_m3 * day_s) / known_s;
}
