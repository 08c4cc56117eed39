// Which of the things that call for somebody have lasted long enough to be told, whom they were told, and which of those are
// over. Pure: time is an argument.

import type { Condition } from "../central-types.ts";

/** One thing that is true of one basin, by the central clock. */
export interface Standing {
  readonly basin: string;
  readonly condition: Condition;
  /** It was first seen then. */
  readonly seen_s: number;
  /** It was seen no more since then; null while it lasts. */
  readonly gone_s: number | null;
  /** Ids of the phones that were told. */
  readonly told: readonly string[];
}

export interface WhatStands {
  /** Takes all that is true of a basin now. */
  see(basin: string, conditions: readonly Condition[], now_s: number): void;
  /** What has lasted long enough, most urgent first. */
  due(now_s: number): Standing[];
  /** Of what was told: what has been over for long enough. */
  over(now_s: number): Standing[];
  told(standing: Standing, phone: string): void;
  toldOver(standing: Standing, phone: string): void;
  /** What must outlive a restart: all that somebody was told of. */
  kept(): readonly Standing[];
  /** A phone has got another id: what it was told, it knows. */
  renew(before: string, id: string): void;
  /** Phones that are there no more are owed nothing. */
  forgetPhonesBut(ids: ReadonlySet<string>): void;
}

export interface Delays {
  /** It must last for so long before anybody is told, and be over for so long before that is told. */
  readonly on_s: number;
  readonly off_s: number;
}

/** @param before what was kept at the end of the last run */
export function whatStands({ on_s, off_s }: Delays, before: readonly Standing[] = []): WhatStands {
  const all = new Map<string, Standing>(
    before.map((standing) => [keyOf(standing.basin, standing.condition), standing]),
  );

  function change(standing: Standing, told: readonly string[]): void {
    const key = keyOf(standing.basin, standing.condition);
    const now = all.get(key);
    if (now === undefined) return;
    if (now.gone_s !== null && told.length === 0) all.delete(key);
    else all.set(key, { ...now, told });
  }
  const current = ({ basin, condition }: Standing) => all.get(keyOf(basin, condition))?.told ?? [];

  return {
    see(basin, conditions, now_s) {
      const calling = conditions.filter(callsForSomebody);
      for (const condition of calling) {
        const key = keyOf(basin, condition);
        const known = all.get(key);
        all.set(
          key,
          known === undefined
            ? { basin, condition, seen_s: now_s, gone_s: null, told: [] }
            : { ...known, condition, gone_s: null },
        );
      }
      // Of a basin of which nothing is heard yet, nothing is known to be over.
      if (conditions.some(({ kind }) => kind === "not-heard-yet")) return;
      for (const [key, standing] of all) {
        if (standing.basin !== basin || standing.gone_s !== null) continue;
        if (calling.some((condition) => keyOf(basin, condition) === key)) continue;
        if (standing.told.length === 0) all.delete(key);
        else all.set(key, { ...standing, gone_s: now_s });
      }
    },
    due: (now_s) =>
      [...all.values()]
        .filter(({ gone_s, seen_s }) => gone_s === null && now_s - seen_s >= on_s)
        .toSorted((a, b) => a.condition.rank - b.condition.rank || a.seen_s - b.seen_s),
    over: (now_s) => [...all.values()].filter(({ gone_s }) => gone_s !== null && now_s - gone_s >= off_s),
    told: (standing, phone) => change(standing, [...new Set([...current(standing), phone])]),
    toldOver: (standing, phone) =>
      change(
        standing,
        current(standing).filter((id) => id !== phone),
      ),
    kept: () => [...all.values()].filter(({ told }) => told.length > 0),
    renew(before, id) {
      for (const standing of all.values())
        if (standing.told.includes(before))
          change(
            standing,
            standing.told.map((each) => (each === before ? id : each)),
          );
    },
    forgetPhonesBut(ids) {
      for (const standing of all.values()) {
        const left = standing.told.filter((id) => ids.has(id));
        if (left.length < standing.told.length) change(standing, left);
      }
    },
  };
}

/** Somebody has to go there, or nothing is known. */
function callsForSomebody({ tier, kind }: Condition): boolean {
  return tier === "now" || kind === "silent";
}

function keyOf(basin: string, { kind }: Pick<Condition, "kind">): string {
  return `${basin}/${kind}`;
}
