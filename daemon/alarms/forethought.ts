// Thinks ahead: what will have to be told when a delay has run out is put on the card a moment before. When it comes so, all
// that is left to do is to send it, and nobody waits for the card.

import type { AlarmInput } from "../../analysis/alarms/alarm.ts";
import type { AlarmBook, AlarmChange } from "../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey } from "../../analysis/alarms/alarm-record.ts";
import type { Delivery, Foreseen } from "./deliver.ts";

export interface Forethought {
  /** @param input what is true then, as far as it is known now */
  foresee(input: AlarmInput): void;
  /** Takes back what was foreseen for another time; null: whatever it is. */
  waitFor(due_s: number | null): void;
  /** Sends what was foreseen, where this is it; else takes it back. @returns whether it is kept and on its way */
  sends(changes: readonly AlarmChange[], time_s: number): boolean;
}

/** Long enough before for a slow card, and so short that what is told is news. */
export const ahead_s = 0.25;
/** A clock that was stepped, or a process that stood still, makes it another time. */
const sameTime_s = 1;

/** @param keep writes it into the outbox */
export function createForethought(
  book: Pick<AlarmBook, "foresee">,
  delivery: Pick<Delivery, "foresee">,
  keep: (changes: readonly AlarmChange[], alarms: readonly AlarmRecord[], time_s: number) => void,
): Forethought {
  let standing: {
    readonly changes: readonly AlarmChange[];
    readonly at_s: number;
    readonly foreseen: Foreseen;
  } | null = null;

  function takeBack(): void {
    standing?.foreseen.takeBack();
    standing = null;
  }

  return {
    foresee(input) {
      takeBack();
      const { changes, alarms } = book.foresee(input);
      if (changes.length === 0) return;
      const foreseen = delivery.foresee(() => keep(changes, alarms, input.time_s), input.time_s);
      if (foreseen !== null) standing = { changes, at_s: input.time_s, foreseen };
    },
    waitFor(due_s) {
      if (standing?.at_s !== due_s) takeBack();
    },
    sends(changes, time_s) {
      if (standing === null || changes.length === 0) return false;
      const { foreseen, at_s } = standing;
      const isIt = Math.abs(time_s - at_s) < sameTime_s && saysTheSame(standing.changes, changes);
      if (!isIt) takeBack();
      standing = null;
      return isIt && foreseen.send();
    },
  };
}

/** Figures may have gone on a little. */
function saysTheSame(some: readonly AlarmChange[], others: readonly AlarmChange[]): boolean {
  const words = (changes: readonly AlarmChange[]) =>
    changes
      .map(({ kind, alarm }) => {
        const said = Object.entries(alarm.facts).filter(([, fact]) => typeof fact !== "number");
        return JSON.stringify([kind, occurrenceKey(alarm), said]);
      })
      .join("\n");
  return words(some) === words(others);
}
