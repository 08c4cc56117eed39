// All alarms and how they stand: takes what is true now, applies delays, suppression by design, shelving and
// acknowledgement, and says what has changed. Pure: time is an argument; who is told is for others.

import type { AlarmDefinition, AlarmInput, AlarmName } from "./alarm.ts";
import { type AlarmRecord, freshRecord, isChattering, offDelay_s } from "./alarm-record.ts";
import { isActive, nextAlarmState, stateOnReturn, withheldAs } from "./alarm-state.ts";

export const changeKinds = [
  ...(["raised", "worse", "over", "acknowledged", "reset"] as const),
  ...(["shelved", "unshelved", "suppressed", "unsuppressed", "out-of-service", "in-service"] as const),
] as const;
export type AlarmChangeKind = (typeof changeKinds)[number];

export interface AlarmChange {
  readonly kind: AlarmChangeKind;
  /** As it stands after the change. */
  readonly alarm: AlarmRecord;
  readonly at_s: number;
  /** Who, for what a person did. */
  readonly by: string | null;
}

export interface AlarmBook {
  /** Says what has changed, causes before their consequences. */
  update(input: AlarmInput): AlarmChange[];
  /** What `update` would say, and how all would stand then; nothing is changed. */
  foresee(input: AlarmInput): { readonly changes: readonly AlarmChange[]; readonly alarms: readonly AlarmRecord[] };
  /** Nothing where it is neither active nor returned unacknowledged. */
  acknowledge(name: AlarmName, by: string, at_s: number): AlarmChange[];
  /** Ends a latched alarm. */
  reset(name: AlarmName, by: string, at_s: number): AlarmChange[];
  /** @throws {RangeError} when `until_s` is not ahead, or further than its priority allows */
  shelve(name: AlarmName, until_s: number, by: string, at_s: number, reason?: string | null): AlarmChange[];
  unshelve(name: AlarmName, by: string, at_s: number): AlarmChange[];
  setInService(name: AlarmName, inService: boolean, by: string, at_s: number, reason?: string | null): AlarmChange[];
  /** When `update` has something to do although nothing new is read; null: not before then. */
  nextDue_s(): number | null;
  alarms(): readonly AlarmRecord[];
  alarm(name: AlarmName): AlarmRecord;
}

/** So long at most may an alarm be shelved, by priority: common practice, no source. */
export const longestShelf_s = { high: 8 * 3600, medium: 3 * 86_400, low: 30 * 86_400 } as const;
/** Whoever asks for the longest time gets it, although a moment has passed since. */
const shelfTolerance_s = 1;
/** More messages of one occurrence than this say nothing new. */
const mostTimesWorse = 2;
const onsetsKept = 4;
/** Of water that has ceased to rise nothing of this is true any more; a level that is not known now was what it was. */
const ofAMoment: ReadonlySet<string> = new Set(["rise_ms", "to_floor_s", "to_floor_earliest_s", "to_floor_latest_s"]);

/** Not only because it waits to be sure that it is over. */
function lasts({ holdsSince_s, ceased_s }: AlarmRecord): boolean {
  return holdsSince_s !== null && ceased_s === null;
}

/** What began after its cause and was told all the same. */
function isToldAfter({ state, announced, from_s }: AlarmRecord, cause: AlarmRecord): boolean {
  return isActive(state) && announced && (from_s ?? 0) >= (cause.from_s ?? 0);
}

/**
 * @param definitions one for each alarm
 * @param kept as `alarms()` gave them before a restart; of an alarm that is missing there, a fresh record
 */
export function createAlarmBook(definitions: readonly AlarmDefinition[], kept: readonly AlarmRecord[] = []): AlarmBook {
  const byName = new Map(definitions.map((definition) => [definition.name, definition]));
  const records = new Map<AlarmName, AlarmRecord>(
    definitions.map(({ name }) => [name, { ...freshRecord(name), ...kept.find((record) => record.name === name) }]),
  );
  let changes: AlarmChange[] = [];

  function alarm(name: AlarmName): AlarmRecord {
    const record = records.get(name);
    if (record === undefined) throw new RangeError(`alarm: expected one of the table, found ${name}`);
    return record;
  }

  function definitionOf(name: AlarmName): AlarmDefinition {
    alarm(name);
    return byName.get(name) as AlarmDefinition;
  }

  /** One in which nothing changes stays the same object. */
  function set(name: AlarmName, change: Partial<AlarmRecord>): AlarmRecord {
    const before = alarm(name);
    if (isIn(before, change)) return before;
    const next = { ...before, ...change };
    records.set(name, next);
    return next;
  }

  function note(kind: AlarmChangeKind, name: AlarmName, at_s: number, by: string | null = null): void {
    changes.push({ kind, alarm: alarm(name), at_s, by });
  }

  function taken(): AlarmChange[] {
    const since = changes;
    changes = [];
    return since;
  }

  /** Takes over what holds, and whether that has lasted for its delay. */
  function follow(definition: AlarmDefinition, input: AlarmInput): void {
    const { name } = definition;
    const { time_s } = input;
    const before = alarm(name);
    const since_s = definition.since(input, before.holdsSince_s);
    if (since_s === undefined) {
      // The time in which nobody knows is none in which it was over.
      if (before.clearSince_s !== null) set(name, { clearSince_s: null });
      return;
    }
    if (since_s !== null) {
      const onset = before.holdsSince_s === null ? [...before.onsets_s, time_s].slice(-onsetsKept) : before.onsets_s;
      const ceased_s = definition.ceased?.(input) ?? null;
      const record = set(name, {
        holdsSince_s: since_s,
        clearSince_s: null,
        ceased_s,
        onsets_s: onset,
        facts: {
          ...definition.facts(input),
          ...(isChattering({ ...before, onsets_s: onset }, time_s) && { comes_and_goes: true }),
        },
      });
      // What is over is not told as if it lasted.
      if (ceased_s === null && !isActive(record.state) && time_s >= since_s + definition.onDelay_s)
        activate(definition, since_s);
      return;
    }
    const record = set(name, { holdsSince_s: null });
    if (!isActive(record.state)) return;
    const clear_s = record.clearSince_s ?? time_s;
    // Whoever is told of the end, or called before it is sure, is told of the water as it is then.
    const known = Object.entries(definition.facts(input)).filter(([key, fact]) => fact !== null || ofAMoment.has(key));
    set(name, { clearSince_s: clear_s, facts: { ...record.facts, ...Object.fromEntries(known) } });
    if (time_s < clear_s + offDelay_s(definition, record, time_s)) return;
    clear(definition, record.ceased_s ?? clear_s, time_s);
  }

  function activate({ name, latching }: AlarmDefinition, from_s: number): void {
    const record = alarm(name);
    set(name, {
      state: nextAlarmState(record.state, "activate", latching),
      occurrence: record.occurrence + 1,
      from_s,
      to_s: null,
      announced: false,
      acknowledged: null,
      told: null,
      timesWorse: 0,
    });
  }

  function clear({ name, latching }: AlarmDefinition, to_s: number, at_s: number): void {
    const record = alarm(name);
    // What nobody was told of wants nobody's acknowledgement, unless it is there to be seen afterwards.
    const state = record.announced || latching ? nextAlarmState(record.state, "clear", latching) : "normal";
    set(name, { state, clearSince_s: null, ceased_s: null, to_s });
    if (record.announced) note("over", name, at_s);
  }

  /**
   * A consequence is silent while its cause holds, even before the cause's own delay has passed. One that is shelved or out
   * of service says nothing, and so speaks for nothing else; nor does one of which nobody hears, in quiet hours, say, for
   * what cannot wait.
   */
  function suppressByDesign({ name, saidBy, priority }: AlarmDefinition, { time_s, unheard }: AlarmInput): void {
    const holds = ({ holdsSince_s, state }: AlarmRecord) => holdsSince_s !== null || isActive(state);
    const record = alarm(name);
    /** Also later: whoever was told of it because nobody heard of its cause goes on being called for it. */
    const isToldBeside = (cause: AlarmRecord) =>
      priority === "high" && cause.announced && (isToldAfter(record, cause) || unheard?.(cause) === true);
    const speaks = (cause: AlarmRecord) =>
      holds(cause) && cause.shelvedUntil_s === null && !cause.outOfService && !isToldBeside(cause);
    const suppressed = holds(record) && saidBy.some((cause) => speaks(alarm(cause)));
    if (suppressed === record.suppressed) return;
    set(name, { suppressed });
    if (isActive(record.state)) note(suppressed ? "suppressed" : "unsuppressed", name, time_s);
    if (!suppressed) comeBack(name);
  }

  /** After shelving, suppression or work on it: what is true then is news, unless it was told before. */
  function comeBack(name: AlarmName): void {
    const record = alarm(name);
    if (withheldAs(record) !== null || record.announced) return;
    // Whoever saw to it before does not see to it now.
    set(name, { state: stateOnReturn(record.state), acknowledged: null });
  }

  function announce(definition: AlarmDefinition, time_s: number): void {
    const { name } = definition;
    const record = alarm(name);
    if (withheldAs(record) !== null || !isActive(record.state)) return;
    if (!record.announced) {
      // Its cause is over, and so is what it would tell of, but for its delay.
      if (!lasts(record)) return;
      set(name, { announced: true, told: record.facts });
      note("raised", name, time_s);
      speakFor(name);
    } else if (
      lasts(record) &&
      record.timesWorse < mostTimesWorse &&
      definition.worse?.(record.told ?? {}, record.facts) === true
    ) {
      set(name, { told: record.facts, timesWorse: record.timesWorse + 1 });
      note("worse", name, time_s);
    }
  }

  /**
   * Whoever hears of the cause, and then that it is over, takes its consequences to be over, too: those that are not are
   * news then, although they were told before it. What can wait for a free afternoon is not told a second time.
   */
  function speakFor(cause: AlarmName): void {
    for (const { name, saidBy, priority } of definitions) {
      const { suppressed, state } = alarm(name);
      if (saidBy.includes(cause) && suppressed && isActive(state) && priority !== "low")
        set(name, { announced: false });
    }
  }

  return {
    update(input) {
      const { time_s } = input;
      for (const { name } of definitions) {
        const { shelvedUntil_s } = alarm(name);
        if (shelvedUntil_s === null || time_s < shelvedUntil_s) continue;
        set(name, { shelvedUntil_s: null, shelved: null });
        note("unshelved", name, time_s);
        comeBack(name);
      }
      for (const definition of definitions) follow(definition, input);
      for (const definition of definitions) suppressByDesign(definition, input);
      for (const definition of definitions) announce(definition, time_s);
      return taken();
    },
    foresee(input) {
      const then = createAlarmBook(definitions, [...records.values()]);
      return { changes: then.update(input), alarms: then.alarms() };
    },
    acknowledge(name, by, at_s) {
      const { latching } = definitionOf(name);
      const record = alarm(name);
      const state = nextAlarmState(record.state, "acknowledge", latching);
      if (state === record.state) return [];
      set(name, { state, acknowledged: { by, at_s } });
      note("acknowledged", name, at_s, by);
      return taken();
    },
    reset(name, by, at_s) {
      const { latching } = definitionOf(name);
      const record = alarm(name);
      const state = nextAlarmState(record.state, "reset", latching);
      if (state === record.state) return [];
      set(name, { state });
      note("reset", name, at_s, by);
      return taken();
    },
    shelve(name, until_s, by, at_s, reason = null) {
      const most_s = longestShelf_s[definitionOf(name).priority];
      if (!(until_s > at_s) || until_s - at_s > most_s + shelfTolerance_s) {
        throw new RangeError(
          `shelve ${name}: expected more than 0 and at most ${most_s / 3600} h from now, found ${(until_s - at_s) / 3600} h`,
        );
      }
      // What still holds when the time is over is news again.
      set(name, { shelvedUntil_s: until_s, shelved: { by, at_s, reason }, announced: false });
      note("shelved", name, at_s, by);
      return taken();
    },
    unshelve(name, by, at_s) {
      if (alarm(name).shelvedUntil_s === null) return [];
      set(name, { shelvedUntil_s: null, shelved: null });
      note("unshelved", name, at_s, by);
      comeBack(name);
      return taken();
    },
    setInService(name, inService, by, at_s, reason = null) {
      if (alarm(name).outOfService === !inService) return [];
      set(name, { outOfService: !inService, takenOut: inService ? null : { by, at_s, reason }, announced: false });
      note(inService ? "in-service" : "out-of-service", name, at_s, by);
      if (inService) comeBack(name);
      return taken();
    },
    nextDue_s() {
      const due: number[] = [];
      for (const definition of definitions) {
        const record = alarm(definition.name);
        const { holdsSince_s, clearSince_s, ceased_s, shelvedUntil_s } = record;
        if (shelvedUntil_s !== null) due.push(shelvedUntil_s);
        if (holdsSince_s !== null && ceased_s === null && !isActive(record.state))
          due.push(holdsSince_s + definition.onDelay_s);
        if (clearSince_s !== null) due.push(clearSince_s + offDelay_s(definition, record, clearSince_s));
      }
      return due.length === 0 ? null : Math.min(...due);
    },
    alarms: () => [...records.values()],
    alarm,
  };
}

function isIn(record: AlarmRecord, change: Partial<AlarmRecord>): boolean {
  for (const key in change) if (change[key as keyof AlarmRecord] !== record[key as keyof AlarmRecord]) return false;
  return true;
}
