// Thinks ahead: what will have to be told when a delay has run out is put on the card a moment before. When it comes so, all
// that is left to do is to send it, and nobody waits for the card.

import type { AlarmFacts, AlarmInput } from "../../analysis/alarms/alarm.ts";
import type { AlarmBook, AlarmChange } from "../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey, standing } from "../../analysis/alarms/alarm-record.ts";
import type { Delivery, Foreseen } from "./deliver.ts";

export interface Forethought {
  /** @param input what is true then, as far as it is known now */
  foresee(input: AlarmInput): void;
  /** Takes back what was foreseen, unless it was for that time. */
  takeBack(butAt_s?: number | null): void;
  /** Sends what was foreseen, where this is it; else takes it back. @returns whether it is kept and on its way */
  sends(changes: readonly AlarmChange[], time_s: number): boolean;
}

/** Long enough before for a slow card, and so short that what is told is news. */
export const ahead_s = 0.25;
/** A clock that was stepped, or a process that stood still, makes it another time. */
const sameTime_s = 1;
/** A figure that has gone on by more than this share is told as it is now, unless it is about nothing in its SI unit. */
const alike = 0.05;
const nothing = 1e-5;

/** @param keep writes it into the outbox */
export function createForethought(
  book: Pick<AlarmBook, "foresee" | "alarms">,
  delivery: Pick<Delivery, "foresee">,
  keep: (changes: readonly AlarmChange[], alarms: readonly AlarmRecord[], time_s: number) => void,
): Forethought {
  let ahead: {
    readonly changes: readonly AlarmChange[];
    readonly alarms: readonly AlarmRecord[];
    readonly at_s: number;
    readonly foreseen: Foreseen;
  } | null = null;

  function takeBack(butAt_s: number | null = null): void {
    if (ahead === null || ahead.at_s === butAt_s) return;
    ahead.foreseen.takeBack();
    ahead = null;
  }

  return {
    foresee(input) {
      takeBack();
      const { changes, alarms } = book.foresee(input);
      if (changes.length === 0) return;
      const foreseen = delivery.foresee(() => keep(changes, alarms, input.time_s), input.time_s);
      if (foreseen !== null) ahead = { changes, alarms, at_s: input.time_s, foreseen };
    },
    takeBack,
    sends(changes, time_s) {
      if (ahead === null || changes.length === 0) return false;
      const { foreseen, alarms, at_s } = ahead;
      const isIt =
        Math.abs(time_s - at_s) < sameTime_s &&
        saysTheSame(ahead.changes, changes) &&
        standing(alarms) === standing(book.alarms());
      if (!isIt) takeBack();
      ahead = null;
      return isIt && foreseen.send();
    },
  };
}

/** Figures may have gone on a little. */
function saysTheSame(some: readonly AlarmChange[], others: readonly AlarmChange[]): boolean {
  return (
    some.length === others.length &&
    some.every((one, i) => {
      const other = others[i] as AlarmChange;
      return (
        one.kind === other.kind &&
        occurrenceKey(one.alarm) === occurrenceKey(other.alarm) &&
        one.alarm.from_s === other.alarm.from_s &&
        one.alarm.to_s === other.alarm.to_s &&
        areAlike(one.alarm.facts, other.alarm.facts)
      );
    })
  );
}

function areAlike(some: AlarmFacts, others: AlarmFacts): boolean {
  const names = new Set([...Object.keys(some), ...Object.keys(others)]);
  return [...names].every((name) => {
    const [one, other] = [some[name], others[name]];
    if (typeof one !== "number" || typeof other !== "number") return one === other;
    return Math.abs(one - other) <= alike * Math.abs(one) + nothing;
  });
}
