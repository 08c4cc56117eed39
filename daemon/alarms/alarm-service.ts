// The alarms of one basin at work: what is true goes into the book, what changed is kept and told, what people answer
// comes back. Everything that a person is to learn is on the card before it is tried.

import { createHmac, randomBytes, timingSafeEqual } from "node:crypto";
import type { AlarmDefinition, AlarmName, Care } from "../../analysis/alarms/alarm.ts";
import { type AlarmBook, type AlarmChange, createAlarmBook, longestShelf_s } from "../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey } from "../../analysis/alarms/alarm-record.ts";
import { isActive, withheldAs } from "../../analysis/alarms/alarm-state.ts";
import { createRiseWindow } from "../../analysis/alarms/time-to-floor.ts";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Site } from "../../analysis/site.ts";
import type { Schedule } from "../sources/schedule.ts";
import type { AlarmsConfig } from "./alarms-config.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";
import { startDelivery } from "./deliver.ts";
import { journalEntry, type Via } from "./outbox/journal-entry.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { planMessages } from "./plan-messages.ts";
import { planUnproven } from "./plan-unproven.ts";
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

const testExpires_s = 600;
const betweenTests_s = 30;
const testsLookedAt = 200;
/** A proof waits for the end of quiet hours. */
const proofExpires_s = 86_400;
const freshFor_s = 120;
const lookAgain_s = 1;
/** They look each second; one that is late is none that has failed. */
const longestWithoutLook_s = 60;
/** Of the day, for proofs: somebody is awake to read them. */
const proofHour = 10;
const silencing: ReadonlySet<AlarmChange["kind"]> = new Set(["acknowledged", "over", "shelved", "out-of-service"]);

export function startAlarmService(parts: AlarmServiceParts): AlarmService {
  const { site, config, definitions, outbox, now_s, schedule, log } = parts;
  const byName = new Map(definitions.map((definition) => [definition.name, definition]));
  const book: AlarmBook = createAlarmBook(definitions, outbox.alarms().map(notAhead));
  const rise = createRiseWindow();
  const secret = ownSecret(outbox);
  let keptState = standing(book.alarms());
  let last: Situation | null = null;
  let cancelDue: (() => void) | null = null;
  let provenIn: string | null = null;
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
    voice: voiceOf(site),
    definitionOf: (name) => byName.get(name) ?? null,
    linkTo: (message) => (config.pageAddress === null ? null : `${config.pageAddress}/ack/${tokenOf(message)}`),
    factsNow(occurrence) {
      const record = book.alarms().find((alarm) => occurrenceKey(alarm) === occurrence);
      return record !== undefined && isActive(record.state) ? record.facts : null;
    },
    now_s,
    schedule,
    random: parts.random ?? Math.random,
    log,
    unproven(row) {
      const messages = planUnproven(row, config, hasWords, site.timezone);
      if (messages.length > 0) outbox.keep({ alarms: book.alarms(), messages, now_s: now_s() });
    },
    onChange: () => parts.onChange?.([]),
  });
  outbox.keep({ alarms: book.alarms(), now_s: now_s() }); // all at once now, each alone when it changes
  callNewContacts();
  goOnSounding();
  delivery.look();

  /** What sounded until somebody knows does so after a restart. */
  function goOnSounding(): void {
    const lasting = book.alarms().filter(({ state }) => isActive(state));
    silence(lasting.filter(({ state }) => state === "acknowledged"));
    for (const alarm of lasting) {
      if (alarm.state !== "unacknowledged" || withheldAs(alarm) !== null) continue;
      const occurrence = occurrenceKey(alarm);
      for (const { contact, by } of outbox.sentOf(occurrence)) {
        const to = config.contacts.find(({ name }) => name === contact)?.reach.find((way) => way.by === by)?.to;
        if (to !== undefined)
          parts.channels.get(by)?.channel.resume?.(to, occurrence, definitionOf(alarm.name).priority);
      }
    }
  }

  /** What lasts unanswered is told also to whoever has got a name in the site file since, or another one. */
  function callNewContacts(): void {
    const time_s = now_s();
    const waiting = book
      .alarms()
      .filter((alarm) => alarm.announced && alarm.state === "unacknowledged" && withheldAs(alarm) === null);
    if (waiting.length === 0) return;
    const raised = outbox.journal(0).filter(({ kind }) => kind === "raised");
    const messages = waiting.flatMap((alarm) => {
      const occurrence = occurrenceKey(alarm);
      const at_s = raised.findLast((entry) => entry.occurrence === occurrence)?.at_s ?? time_s;
      const called = outbox.calledFor(occurrence);
      return planMessages(
        [{ kind: "raised", alarm, at_s, by: null }],
        definitionOf,
        config,
        outbox.toldOf,
        site.timezone,
      ).messages.filter(
        ({ contact, kind, due_s, expires_s }) =>
          !called.includes(contact) && expires_s > time_s && (kind === "raised" || due_s > time_s),
      );
    });
    if (messages.length > 0) outbox.keep({ alarms: book.alarms(), messages, now_s: time_s });
  }

  /** As kept before a clock was set back: nothing has begun that lies ahead. */
  function notAhead(record: AlarmRecord): AlarmRecord {
    const time_s = now_s();
    const { holdsSince_s, clearSince_s, shelvedUntil_s, onsets_s, name } = record;
    const longest_s = longestShelf_s[byName.get(name)?.priority ?? "low"];
    return {
      ...record,
      holdsSince_s: holdsSince_s === null ? null : Math.min(holdsSince_s, time_s),
      clearSince_s: clearSince_s === null ? null : Math.min(clearSince_s, time_s),
      shelvedUntil_s: shelvedUntil_s === null ? null : Math.min(shelvedUntil_s, time_s + longest_s),
      onsets_s: onsets_s.filter((onset_s) => onset_s <= time_s),
    };
  }

  function see(situation: Situation): void {
    last = situation;
    if (situation.level_m !== null && situation.time_s !== null) rise.push(situation.time_s, situation.level_m);
    const time_s = now_s();
    keep(
      book.update({
        time_s,
        site,
        situation,
        toFloor: isFresh(situation, time_s) ? rise.toFloor(site.basin.overflowLevel_m) : null,
        care: parts.care(situation),
        unheard: (alarm) => isUnheard(alarm, outbox, config.contacts.length, now_s()),
      }),
      time_s,
    );
    waitForNext(time_s);
    proveMonthly(time_s);
    outbox.retry(time_s);
    looked_s = time_s;
  }

  /** On the first of each month that the board lives to see, each way of each contact is proven. */
  function proveMonthly(time_s: number): void {
    if (!config.monthlyProof || config.contacts.length === 0) return;
    const at = Temporal.Instant.fromEpochMilliseconds(Math.round(time_s * 1000)).toZonedDateTimeISO(site.timezone);
    const month = `${at.year}-${String(at.month).padStart(2, "0")}`;
    if ((provenIn !== null && month <= provenIn) || at.hour < proofHour) return;
    provenIn ??= outbox.note("last-proof") ?? month; // a new board has been tested by hand
    // A clock that was set back gives no second proof.
    if (month > provenIn) for (const { name } of config.contacts) sendTests(name, null, "proof");
    else if (month < provenIn) return;
    outbox.setNote("last-proof", month);
    provenIn = month;
  }

  function sendTests(
    contact: string,
    by: string | null,
    kind: "test" | "proof",
    askedBy: string | null = null,
  ): number[] {
    const at_s = now_s();
    const ways = config.contacts.find(({ name }) => name === contact)?.reach ?? [];
    const chosen = ways.filter((way) => by === null || way.by === by);
    if (chosen.length === 0) {
      const found = `${contact}${by === null ? "" : ` by ${by}`}`;
      throw new RangeError(`test: expected a contact and one of its channels, found ${found}`);
    }
    // Each costs money by some ways, and patience by all.
    const again = outbox
      .messages(testsLookedAt)
      .find(
        (row) =>
          row.kind === "test" &&
          at_s - row.created_s < betweenTests_s &&
          at_s >= row.created_s &&
          row.contact === contact &&
          chosen.some((way) => way.by === row.onlyBy),
      );
    if (kind === "test" && again !== undefined) {
      const ago_s = Math.round(at_s - again.created_s);
      throw new RangeError(
        `test: expected ${betweenTests_s} s between two tests of one way, found ${ago_s} s for ${contact} by ${again.onlyBy}`,
      );
    }
    const keys = chosen.map((way, i) => `${kind}-${Math.round(at_s * 1000)}-${i}-${way.by}`);
    outbox.keep({
      alarms: book.alarms(),
      messages: chosen.map((way, i) => ({
        ...{ key: keys[i] ?? "", kind, alarm: null, occurrence: "", priority: "low", contact, onlyBy: way.by },
        ...{
          due_s: at_s,
          expires_s: at_s + (kind === "test" ? testExpires_s : proofExpires_s),
          from_s: null,
          to_s: null,
          facts: askedBy === null ? {} : { asked_by: askedBy },
        },
      })),
      now_s: at_s,
    });
    const sent = outbox.waiting().filter(({ key }) => keys.includes(key));
    delivery.look();
    return sent.map(({ id }) => id);
  }

  /** A delay that runs out between two readings is not kept waiting for the next one. */
  function waitForNext(time_s: number): void {
    cancelDue?.();
    cancelDue = null;
    const due_s = book.nextDue_s();
    if (due_s === null) return;
    cancelDue = schedule(
      () => {
        if (last !== null) see(last);
      },
      // What is still due after a look waits for something to be known.
      due_s <= time_s ? lookAgain_s : Math.min(3600, Math.max(0.001, due_s - time_s)),
    );
  }

  function keep(
    changes: readonly AlarmChange[],
    time_s: number,
    via: Via | null = null,
    reason: string | null = null,
  ): boolean {
    const state = standing(book.alarms());
    if (changes.length === 0 && state === keptState) return false;
    const plan = planMessages(changes, definitionOf, config, outbox.toldOf, site.timezone);
    delivery.look(() =>
      outbox.keep({
        alarms: book.alarms(),
        journal: changes.map((change) => journalEntry(change, definitionOf(change.alarm.name).priority, via, reason)),
        ...plan,
        now_s: time_s,
      }),
    );
    keptState = state;
    for (const { kind, alarm, by } of changes) log(`alarms: ${alarm.name} ${kind}${by === null ? "" : ` by ${by}`}`);
    if (changes.length > 0) parts.onChange?.(changes);
    silence(changes.filter(({ kind }) => silencing.has(kind)).map(({ alarm }) => alarm));
    return changes.length > 0;
  }

  /** What still sounds for an occurrence that somebody knows of, or that is over, need not. */
  function silence(alarms: readonly AlarmRecord[]): void {
    const occurrences = alarms.map(occurrenceKey);
    if (occurrences.length > 0) for (const { channel } of parts.channels.values()) channel.silence?.(occurrences);
  }

  function tokenOf(message: number): string {
    return `${message}.${sign(secret, `message ${message}`)}`;
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
    see,
    acknowledge,
    toldByLink(token) {
      const [number = "", signature = ""] = token.split(".");
      if (!/^\d{1,15}$/.test(number) || !alike(signature, sign(secret, `message ${Number(number)}`))) return null;
      const message = outbox.message(Number(number));
      const alarms = toldBy(Number(number));
      return message === null || alarms.length === 0 ? null : { contact: message.contact, alarms };
    },
    answer(from, text, channel) {
      if (closed) return;
      const said = /^\W*ok(?:ay)?(?:\W*(\d+))?(?!\w)/i.exec(text.trim());
      const contacts = config.contacts.filter(({ reach }) => reach.some(({ to }) => sameAddress(to, from)));
      if (said === null || contacts.length === 0) {
        log(
          `alarms: an answer from ${from} was not understood, or is from no contact: ${JSON.stringify(text.slice(0, 80))}`,
        );
        return;
      }
      // A number that was never given, or of what is over, acknowledges nothing else: the next person is called.
      const meant =
        said[1] === undefined
          ? book
              .alarms()
              .filter(({ state }) => isActive(state))
              .filter((alarm) => {
                const told = outbox.toldOf(occurrenceKey(alarm), now_s());
                return contacts.some(({ name }) => told.includes(name));
              })
          : toldBy(Number(said[1]));
      if (meant.length === 0) log(`alarms: an answer from ${from} belongs to no alarm that lasts: ${said[0].trim()}`);
      for (const { name } of meant) acknowledge(name, contacts[0]?.name ?? from, `channel ${channel}`);
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
    test: (contact, by, askedBy) => sendTests(contact, by, "test", askedBy),
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
      await delivery.close();
      outbox.close();
    },
  };
}

/** Levels of long ago say nothing of how fast the water rises. */
function isFresh({ time_s }: Situation, now_s: number): boolean {
  return time_s !== null && now_s - time_s < freshFor_s;
}

/** What must outlive a restart, as one text to compare. */
function standing(alarms: readonly AlarmRecord[]): string {
  return alarms
    .map(({ name, state, occurrence, announced, shelvedUntil_s, suppressed, outOfService }) =>
      [name, state, occurrence, announced, shelvedUntil_s, isActive(state) && suppressed, outOfService].join(),
    )
    .join(";");
}

function ownSecret(outbox: Outbox): string {
  const kept = outbox.note("secret");
  if (kept !== null) return kept;
  const made = randomBytes(32).toString("hex");
  outbox.setNote("secret", made);
  return made;
}

function sign(secret: string, text: string): string {
  return createHmac("sha256", secret).update(text).digest("base64url");
}

function alike(a: string, b: string): boolean {
  const [left, right] = [Buffer.from(a), Buffer.from(b)];
  return left.length === right.length && timingSafeEqual(left, right);
}

/** Telephone numbers with or without spaces and the like; the rest letter by letter, whatever their case. */
function sameAddress(a: string, b: string): boolean {
  const plain = (address: string) =>
    /^[+\d][\d\s().-]*$/.test(address) ? address.replaceAll(/[^\d+]/g, "") : address.toLowerCase();
  return plain(a) === plain(b);
}
