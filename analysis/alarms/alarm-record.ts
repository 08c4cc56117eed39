// What is kept of one alarm: how it stands, since when, who has acknowledged it, what was told of it.

import type { AlarmDefinition, AlarmFacts, AlarmName } from "./alarm.ts";
import { type AlarmState, isActive, type ProcessState, type Withholding, withheldAs } from "./alarm-state.ts";

/** Plain data: it outlives a restart. */
export interface AlarmRecord extends Withholding {
  readonly name: AlarmName;
  /** Below what may withhold it. */
  readonly state: ProcessState;
  /** Since when the condition has held, delays left aside; null: it does not. */
  readonly holdsSince_s: number | null;
  /** Since when an active alarm's condition has not held. */
  readonly clearSince_s: number | null;
  /** Since when the cause is over, while what tells of it waits to be sure; null: it is not, or nobody can say. */
  readonly ceased_s: number | null;
  /** Counts its activations: with the name, the key of everything that is said of this one. */
  readonly occurrence: number;
  /** When the condition of the present or last occurrence began. */
  readonly from_s: number | null;
  readonly to_s: number | null;
  /** Whether this occurrence has been announced: one that nobody was told of is not told to be over either. */
  readonly announced: boolean;
  /** As now, or as they last were while it held, or when it was over. */
  readonly facts: AlarmFacts;
  /** As they were in the last message about it. */
  readonly told: AlarmFacts | null;
  readonly timesWorse: number;
  readonly acknowledged: Acknowledgement | null;
  /** Who has shelved it, and why; null: nobody. */
  readonly shelved: SetAside | null;
  /** Who has taken it out of service, and why; null: nobody. */
  readonly takenOut: SetAside | null;
  /** When its condition began to hold, newest last: the latest few. */
  readonly onsets_s: readonly number[];
}

export interface Acknowledgement {
  readonly by: string;
  readonly at_s: number;
}

/** What a person did so that an alarm is not told. */
export interface SetAside extends Acknowledgement {
  /** In that person's words; null: none were given. */
  readonly reason: string | null;
}

export function freshRecord(name: AlarmName): AlarmRecord {
  return {
    name,
    state: "normal",
    shelvedUntil_s: null,
    suppressed: false,
    outOfService: false,
    holdsSince_s: null,
    clearSince_s: null,
    ceased_s: null,
    occurrence: 0,
    from_s: null,
    to_s: null,
    announced: false,
    facts: {},
    told: null,
    timesWorse: 0,
    acknowledged: null,
    shelved: null,
    takenOut: null,
    onsets_s: [],
  };
}

/** The state as the standard names it. */
export function shownState(record: AlarmRecord): AlarmState {
  return withheldAs(record) ?? record.state;
}

/** Key of an occurrence, for messages and acknowledgements: `high-water-3`. */
export function occurrenceKey({ name, occurrence }: Pick<AlarmRecord, "name" | "occurrence">): string {
  return `${name}-${occurrence}`;
}

/** Three onsets within a minute (open guidance on ISA-18.2), and what comes again and again within an hour. */
export function isChattering({ onsets_s }: AlarmRecord, now_s: number): boolean {
  const third = onsets_s.at(-3);
  const last = onsets_s.at(-1);
  if (third === undefined || last === undefined) return false;
  return now_s - third < calm_s || (last - third <= 60 && now_s - last < calm_s);
}

/** A chattering alarm is not over before it has been calm for so long: it says itself once, not each time. */
export function offDelay_s(definition: AlarmDefinition, record: AlarmRecord, now_s: number): number {
  return isChattering(record, now_s) ? Math.max(definition.offDelay_s, calm_s) : definition.offDelay_s;
}

const calm_s = 3600;

/** Active for more than a day (open guidance on ISA-18.2): it is no news, and should be mended or shelved. */
export function isStale(record: AlarmRecord, now_s: number): boolean {
  return isActive(record.state) && record.from_s !== null && now_s - record.from_s > 86_400;
}

/** What must outlive a restart, as one text to compare. */
export function standing(alarms: readonly AlarmRecord[]): string {
  return alarms
    .map(({ name, state, occurrence, announced, shelvedUntil_s, suppressed, outOfService }) =>
      [name, state, occurrence, announced, shelvedUntil_s, isActive(state) && suppressed, outOfService].join(),
    )
    .join(";");
}
