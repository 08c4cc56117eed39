// The alarms of one basin at work: what is true goes into the book, what changed is kept and told, what people answer
// comes back. Everything that a person is to learn is on the card before it is tried.

import type { AlarmDefinition, AlarmInput, AlarmName, Care } from "../../analysis/alarms/alarm.ts";
import { type AlarmBook, type AlarmChange, createAlarmBook } from "../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey, standing } from "../../analysis/alarms/alarm-record.ts";
import { isActive } from "../../analysis/alarms/alarm-state.ts";
import { createRiseWindow } from "../../analysis/alarms/time-to-floor.ts";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Site } from "../../analysis/site.ts";
import type { Schedule } from "../sources/schedule.ts";
import { callsOfNewContacts, goOnSounding, notAhead } from "./after-restart.ts";
import type { AlarmsConfig } from "./alarms-config.ts";
import { createLinks } from "./answers.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";
import { startDelivery } from "./deliver.ts";
import { ahead_s, createForethought } from "./forethought.ts";
import { type HouseTime, houseTime } from "./house-time.ts";
import { journalEntry, type Via } from "./outbox/journal-entry.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { planMessages } from "./plan-messages.ts";
import { planUnproven } from "./plan-unproven.ts";
import { createProofs } from "./prove-ways.ts";
import { takeAnswer } from "./take-answer.ts";
import { isUnheard } from "./unheard.ts";
import { voiceOf } from "./words.ts";

export interface AlarmServiceParts {
  readonly site: Site;
  readonly config: AlarmsConfig;
  /** The table with the changes of the site file. */
  readonly definitions: readonly AlarmDefinition[];
  readonly outbox: Outbox;
  readonly channels: ReadonlyMap<string, ChannelAtWork>;
  care(situation: Situation): Care;
  readonly now_s: () => number;
  /** The clock on its wall; absent: as `now_s`. */
  readonly house?: HouseTime;
  readonly schedule: Schedule;
  readonly random?: () => number;
  log(line: string): void;
  /** Told of every change, for the page and the broker. */
  onChange?(changes: readonly AlarmChange[]): void;
}

export interface AlarmService {
  /** Takes what is true now; to be called after each reading, and each second when there is none. */
  see(situation: Situation): void;
  /** @param via of this and of what follows: how whoever does it reaches the alarms; the page unless said otherwise */
  acknowledge(name: AlarmName, by: string, via?: Via): boolean;
  /** Whom a link was sent to and what of; null where it is none of ours, or of long ago. */
  toldByLink(token: string): { readonly contact: string; readonly alarms: readonly AlarmRecord[] } | null;
  /** An answer by a channel: `OK`, `OK 17`. Anything else is left to the log. */
  answer(from: string, text: string, channel: string): void;
  reset(name: AlarmName, by: string): boolean;
  /** @throws {RangeError} see AlarmBook */
  shelve(name: AlarmName, until_s: number, by: string, reason?: string | null, via?: Via): void;
  unshelve(name: AlarmName, by: string, via?: Via): boolean;
  setInService(name: AlarmName, inService: boolean, by: string, reason?: string | null): boolean;
  /**
   * Sends a test to a contact, by one of its ways or by all of them; returns the numbers of the messages.
   * @param askedBy who wants it
   */
  test(contact: string, by: string | null, askedBy?: string | null): number[];
  alarms(): readonly AlarmRecord[];
  /** Why nobody would be told of anything now; null: what is true is looked at. */
  unwatched(): string | null;
  readonly outbox: Outbox;
  /** @param by name of the channel that has learned it */
  receipt(by: string, key: string, delivered: boolean, reason: string | null): void;
  close(): Promise<void>;
}

const lookAgain_s = 1;
const hair_s = 0.002;
/** They look each second; one that is late is none that has failed. */
const longestWithoutLook_s = 60;
const silencing: ReadonlySet<AlarmChange["kind"]> = new Set(["acknowledged", "over", "shelved", "out-of-service"]);

export function startAlarmService(parts: AlarmServiceParts): AlarmService {
  const { site, config, definitions, outbox, now_s, schedule, log, house = houseTime(site.timezone) } = parts;
  const byName = new Map(definitions.map((definition) => [definition.name, definition]));
  const book: AlarmBook = createAlarmBook(
    definitions,
    outbox.alarms().map((record) => notAhead(record, byName.get(record.name)?.priority, now_s())),
  );
  const rise = createRiseWindow();
  const links = createLinks(outbox);
  const proofs = createProofs({ config, outbox, house, now_s });
  let keptState = standing(book.alarms());
  let last: Situation | null = null;
  let cancelDue: (() => void) | null = null;
  let cancelForethought: (() => void) | null = null;
  let looked_s = now_s();
  let closed = false;

  const definitionOf = (name: AlarmName): AlarmDefinition => {
    const definition = byName.get(name);
    if (definition === undefined) throw new RangeError(`alarms: no alarm is called ${name}`);
    return definition;
  };

  const hasWords = (by: string) => parts.channels.get(by)?.wordless !== true;
  const delivery = startDelivery({
    outbox,
    config,
    channels: parts.channels,
    voice: voiceOf(site, house),
    definitionOf: (name) => byName.get(name) ?? null,
    linkTo: (message) => (config.pageAddress === null ? null : `${config.pageAddress}/ack/${links.tokenOf(message)}`),
    factsNow(occurrence) {
      const record = book.alarms().find((alarm) => occurrenceKey(alarm) === occurrence);
      return record !== undefined && isActive(record.state) ? record.facts : null;
    },
    now_s,
    schedule,
    random: parts.random ?? Math.random,
    log,
    unproven(row) {
      const messages = planUnproven(row, config, hasWords, house);
      if (messages.length > 0) outbox.keep({ alarms: book.alarms(), messages, now_s: now_s() });
    },
    onChange: () => parts.onChange?.([]),
  });
  const forethought = createForethought(book, delivery, intoOutbox);
  goOn();
  delivery.look();

  function goOn(): void {
    const asBefore = { config, outbox, house, definitionOf };
    const messages = callsOfNewContacts(book.alarms(), now_s(), asBefore);
    const untold = book.alarms().filter(({ name }) => config.changes[name]?.tell === false);
    const callOff = untold.map((alarm) => ({ occurrence: occurrenceKey(alarm), after_s: 0 }));
    // All alarms at once now, each alone when it changes.
    outbox.keep({ alarms: book.alarms(), messages, callOff, now_s: now_s() });
    silence(book.alarms().filter(({ state }) => state === "acknowledged"));
    goOnSounding(book.alarms(), parts.channels, asBefore);
  }

  function see(situation: Situation, time_s = now_s()): void {
    last = situation;
    if (situation.level_m !== null && situation.time_s !== null) rise.push(situation.time_s, situation.level_m);
    keep(book.update(inputAt(situation, time_s)), time_s);
    waitForNext(time_s);
    if (proofs.monthly(time_s)) delivery.look();
    outbox.tend(time_s);
    looked_s = time_s;
  }

  function inputAt(situation: Situation, time_s: number): AlarmInput {
    return {
      time_s,
      site,
      situation,
      toFloor: rise.toFloor(site.basin.overflowLevel_m, time_s),
      care: parts.care(situation),
      unheard: (alarm) => isUnheard(alarm, outbox, config.contacts.length, time_s),
    };
  }

  /** A delay that runs out between two readings is not kept waiting for the next one. */
  function waitForNext(time_s: number): void {
    cancelDue?.();
    cancelDue = null;
    cancelForethought?.();
    cancelForethought = null;
    const due_s = book.nextDue_s();
    if (due_s === null) {
      forethought.takeBack();
      return;
    }
    // What is still due after a look waits for something to be known.
    const at_s = due_s <= time_s ? time_s + lookAgain_s : Math.min(due_s, time_s + 3600);
    const look = () => {
      const now = now_s();
      // A timer may come when the clock still reads a hair less.
      if (last !== null) see(last, now > at_s - hair_s ? Math.max(at_s, now) : now);
    };
    const wait_s = at_s - now_s();
    cancelDue = schedule(look, Math.max(0.001, wait_s));
    const isNear = at_s === due_s && wait_s <= ahead_s;
    forethought.takeBack(isNear ? due_s : null);
    if (isNear || at_s !== due_s) return;
    const thinkAhead = () => last !== null && forethought.foresee(inputAt(last, at_s));
    cancelForethought = schedule(thinkAhead, wait_s - ahead_s);
  }

  function keep(
    changes: readonly AlarmChange[],
    time_s: number,
    via: Via | null = null,
    reason: string | null = null,
  ): boolean {
    if (changes.length === 0 && standing(book.alarms()) === keptState) return false;
    if (!forethought.sends(changes, time_s))
      delivery.look(() => intoOutbox(changes, book.alarms(), time_s, via, reason), time_s);
    keptState = standing(book.alarms());
    for (const { kind, alarm, by } of changes) log(`alarms: ${alarm.name} ${kind}${by === null ? "" : ` by ${by}`}`);
    if (changes.length > 0) parts.onChange?.(changes);
    silence(changes.filter(({ kind }) => silencing.has(kind)).map(({ alarm }) => alarm));
    return changes.length > 0;
  }

  function intoOutbox(
    changes: readonly AlarmChange[],
    alarms: readonly AlarmRecord[],
    time_s: number,
    via: Via | null = null,
    reason: string | null = null,
  ): void {
    const journal = changes.map((change) =>
      journalEntry(change, definitionOf(change.alarm.name).priority, via, reason),
    );
    const plan = planMessages(changes, definitionOf, config, outbox.toldOf, house);
    outbox.keep({ alarms, journal, ...plan, now_s: time_s });
  }

  /** What still sounds for an occurrence that somebody knows of, or that is over, need not. */
  function silence(alarms: readonly AlarmRecord[]): void {
    const occurrences = alarms.map(occurrenceKey);
    if (occurrences.length > 0) for (const { channel } of parts.channels.values()) channel.silence?.(occurrences);
  }

  /** What a message tells of, as far as it is still the latest occurrence. */
  function toldBy(message: number): AlarmRecord[] {
    const occurrences = [outbox.message(message)?.occurrence, ...outbox.joined(message)];
    return book
      .alarms()
      .filter((alarm) => occurrences.includes(occurrenceKey(alarm)))
      .toSorted((a, b) => (a.from_s ?? 0) - (b.from_s ?? 0));
  }

  function acknowledge(name: AlarmName, by: string, via: Via = "page"): boolean {
    const at_s = now_s();
    const did = keep(book.acknowledge(name, by, at_s), at_s, via);
    // Also what was acknowledged before, and sounds again since it got worse.
    silence(book.alarms().filter((alarm) => alarm.name === name));
    return did;
  }

  return {
    see: (situation) => see(situation),
    acknowledge,
    toldByLink(token) {
      const id = links.messageOf(token);
      const message = id === null ? null : outbox.message(id);
      const alarms = message === null ? [] : toldBy(message.id);
      return message === null || alarms.length === 0 ? null : { contact: message.contact, alarms };
    },
    answer(from, text, channel) {
      if (closed) return;
      takeAnswer(from, text, channel, {
        ...{ config, outbox, now_s, alarms: book.alarms, toldBy, log },
        acknowledge: (name, by, through) => void acknowledge(name, by, `channel ${through}`),
        writeBack(messages) {
          outbox.keep({ alarms: [], messages, now_s: now_s() });
          delivery.look();
        },
      });
    },
    reset(name, by) {
      const at_s = now_s();
      return keep(book.reset(name, by, at_s), at_s, "page");
    },
    shelve(name, until_s, by, reason = null, via = "page") {
      const at_s = now_s();
      keep(book.shelve(name, until_s, by, at_s, reason), at_s, via, reason);
      waitForNext(at_s);
    },
    unshelve(name, by, via = "page") {
      const at_s = now_s();
      const did = keep(book.unshelve(name, by, at_s), at_s, via);
      if (last !== null) see(last);
      return did;
    },
    setInService(name, inService, by, reason = null) {
      const at_s = now_s();
      const did = keep(book.setInService(name, inService, by, at_s, reason), at_s, "page", reason);
      if (last !== null) see(last);
      return did;
    },
    test(contact, by, askedBy = null) {
      const made = proofs.test(contact, by, askedBy);
      delivery.look();
      return made;
    },
    alarms: () => book.alarms(),
    unwatched() {
      const ago_s = now_s() - looked_s;
      return ago_s <= longestWithoutLook_s
        ? null
        : `the alarms have not looked for ${Math.round(ago_s)} s; see the log`;
    },
    outbox,
    receipt(by, key, delivered, reason) {
      if (!closed) delivery.receipt(by, key, delivered, reason);
    },
    async close() {
      closed = true;
      cancelDue?.();
      cancelForethought?.();
      await delivery.close();
      outbox.close();
    },
  };
}
