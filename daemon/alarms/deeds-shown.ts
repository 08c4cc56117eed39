// What was done about alarms, and what became of one, as the page shows it: who, when, by which way, why.

import type { AlarmDefinition } from "../../analysis/alarms/alarm.ts";
import type { AlarmDeed } from "../server/alarms-types.ts";
import type { JournalEntry } from "./outbox/journal-entry.ts";
import type { MessageRow } from "./outbox/message-row.ts";

type Titled = Pick<AlarmDefinition, "name" | "title">;

const deedsShown = 30;
const ofOneShown = 12;

/** What people did, newest first: about any alarm, and the tests that they asked for. */
export function deedsOf(
  journal: readonly JournalEntry[],
  messages: readonly MessageRow[],
  definitions: readonly Titled[],
): AlarmDeed[] {
  const done = journal.filter(({ by }) => by !== null).map((entry) => deedOf(entry, definitions));
  return [...done, ...testsOf(messages)].toSorted((a, b) => b.at_s - a.at_s).slice(0, deedsShown);
}

/** What happened to one alarm, newest first. */
export function historyOf(journal: readonly JournalEntry[], definition: Titled): AlarmDeed[] {
  return journal
    .filter(({ alarm }) => alarm === definition.name)
    .slice(-ofOneShown)
    .map((entry) => deedOf(entry, [definition]))
    .reverse();
}

function deedOf(entry: JournalEntry, definitions: readonly Titled[]): AlarmDeed {
  const { at_s, kind, alarm, by, via, reason, until_s } = entry;
  // Another version may have had one that this one does not.
  const title = definitions.find(({ name }) => name === alarm)?.title ?? alarm;
  return { at_s, kind, alarm, title, by, via, reason, until_s, contact: null };
}

/** One press of the button tests each way of a contact. */
function testsOf(messages: readonly MessageRow[]): AlarmDeed[] {
  const tests = messages.filter(({ kind }) => kind === "test");
  const presses = Map.groupBy(tests, ({ created_s, contact }) => `${created_s} ${contact}`);
  return [...presses.values()].flatMap((rows) => {
    const [first] = rows;
    if (first === undefined) return [];
    const { created_s, contact, facts } = first;
    const ways = rows.flatMap(({ onlyBy }) => (onlyBy === null ? [] : [onlyBy])).toSorted();
    return [
      {
        ...({
          at_s: created_s,
          kind: "tested",
          alarm: null,
          title: null,
          by: String(facts.asked_by ?? "") || null,
        } as const),
        ...{ via: ways.join(", "), reason: null, until_s: null, contact },
      },
    ];
  });
}
