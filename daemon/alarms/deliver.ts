// Takes what is due out of the outbox and through the channels: the highest priority first, a contact's ways in their order,
// with growing pauses after failures, not more than the contact wants in an hour; what waits together goes together.

import type { AlarmDefinition, AlarmFacts, AlarmName, Priority } from "../../analysis/alarms/alarm.ts";
import type { Schedule } from "../sources/schedule.ts";
import type { AlarmsConfig, Contact } from "./alarms-config.ts";
import type { OpenChannel, Outcome, OutgoingMessage } from "./channels/channel.ts";
import type { MessageRow } from "./outbox/message-row.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { notInQuietHours } from "./quiet-hours.ts";
import { type Said, say, sayProof, sayUnproven, type Telling, type Voice } from "./words.ts";

export interface ChannelAtWork {
  readonly name: string;
  readonly channel: OpenChannel;
  readonly comparesKeys: boolean;
  /** Nothing can be explained by it. */
  readonly wordless?: boolean;
  readonly takesReplies: boolean;
}

export interface DeliveryParts {
  readonly outbox: Outbox;
  readonly config: AlarmsConfig;
  readonly channels: ReadonlyMap<string, ChannelAtWork>;
  readonly voice: Voice;
  /** Null of an alarm that another version had. */
  definitionOf(name: AlarmName): AlarmDefinition | null;
  /** Page that acknowledges what a message tells of; null where the page has no address. */
  linkTo(message: number): string | null;
  /** What is true now of an occurrence; null: it is over. */
  factsNow(occurrence: string): AlarmFacts | null;
  readonly now_s: () => number;
  readonly schedule: Schedule;
  /** 0 to 1, for the jitter. */
  readonly random: () => number;
  log(line: string): void;
  /** A monthly proof was given up: whoever is still reached is to be told. */
  unproven(row: MessageRow): void;
  /** Something that the page shows has changed. */
  onChange(): void;
}

export interface Delivery {
  /**
   * Something new may be due.
   *
   * @param first what it follows from: goes onto the card in one piece with what is begun now
   */
  look(first?: () => void): void;
  /** What a channel learned later of a message that it had handed over. */
  receipt(by: string, key: string, delivered: boolean, reason: string | null): void;
  /** Gives up what is under way; it stays in the outbox. */
  close(): Promise<void>;
}

/** A message on its way, marked so in the outbox. */
interface Attempt {
  readonly contact: Contact;
  readonly rows: readonly MessageRow[];
  /** By whose number it goes; the others are joined to it. */
  readonly lead: MessageRow;
  readonly at: ChannelAtWork;
  /** How many the contact has. */
  readonly ways: number;
  readonly message: OutgoingMessage;
}

const rank: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };
/** After a round of failures over all ways: doubled each time, up to the longest. */
const firstPause_s = 5;
const longestPause_s = 900;
/** A proof has a day. */
const longestProofPause_s = 7200;
/** A channel that has not answered by then is given up for this time. */
const attempt_s = 90;

export function startDelivery(parts: DeliveryParts): Delivery {
  const { outbox, now_s } = parts;
  /**
   * Attempts under way: of each contact one at a time, and beside it one of high priority, which does not wait for what a
   * slow channel does with something less.
   */
  const busy = new Map<string, { readonly done: Promise<void>; readonly giveUp: AbortController }>();
  let cancelWait: (() => void) | null = null;
  let closed = false;

  function look(first = () => {}): void {
    let begun: Attempt[] = [];
    outbox.together(() => {
      first();
      begun = closed ? [] : choose();
    });
    for (const attempt of begun) begin(attempt);
  }

  /** What goes now, and is marked so; the rest is looked at again when it is due. */
  function choose(): Attempt[] {
    cancelWait?.();
    cancelWait = null;
    const now = now_s();
    let next_s = Number.POSITIVE_INFINITY;
    const begun: Attempt[] = [];
    const kept = outbox.waiting();
    const waiting = withoutUnknown(expire(kept, now) ? outbox.waiting() : kept);
    const byContact = Map.groupBy(waiting, ({ contact }) => contact);
    const contacts = [...byContact].toSorted(([, a], [, b]) => urgency(a, now) - urgency(b, now));
    for (const [name, rows] of contacts) {
      if (busy.has(lane(name, true))) continue;
      const contact = parts.config.contacts.find((each) => each.name === name);
      if (contact === undefined) {
        outbox.change(
          rows.map(({ id }) => id),
          { state: "refused", reason: `${name} is no contact of the site file any more` },
        );
        continue;
      }
      const due = whatIsDue(busy.has(lane(name, false)) ? rows.filter(isUrgent) : rows, contact, now);
      const attempt = due.ready.length === 0 ? null : prepare(contact, due.ready);
      if (attempt !== null) begun.push(attempt);
      else if (due.ready.length > 0) next_s = Math.min(next_s, now + firstPause_s);
      else next_s = Math.min(next_s, due.next_s, ...rows.map(({ expires_s }) => expires_s));
    }
    if (next_s < Number.POSITIVE_INFINITY) {
      cancelWait = parts.schedule(look, Math.min(3600, Math.max(0.001, next_s - now_s())));
    }
    return begun;
  }

  /** @returns whether that changed what waits */
  function expire(waiting: readonly MessageRow[], now: number): boolean {
    const expired = waiting.filter(({ expires_s }) => expires_s <= now);
    // First, so that a power cut in between loses nothing.
    for (const row of expired) if (row.kind === "proof") parts.unproven(row);
    outbox.change(
      expired.map(({ id }) => id),
      { state: "expired" },
    );
    for (const { id, contact, reason } of expired)
      parts.log(`alarms: message ${id} to ${contact} was not sent in time${reason === null ? "" : `: ${reason}`}`);
    return expired.length > 0;
  }

  function withoutUnknown(rows: readonly MessageRow[]): MessageRow[] {
    const unknown = rows.filter(({ alarm }) => alarm !== null && parts.definitionOf(alarm) === null);
    outbox.change(
      unknown.map(({ id }) => id),
      { state: "refused", reason: "this version has no such alarm" },
    );
    return rows.filter((row) => !unknown.includes(row));
  }

  /** Those that go now, as one message; else when to look again. */
  function whatIsDue(
    rows: readonly MessageRow[],
    contact: Contact,
    now: number,
  ): { readonly ready: MessageRow[]; readonly next_s: number } {
    const { timezone } = parts.voice;
    // What was tried in vain, or came too often, keeps to quiet hours as what is new does.
    const at_s = (row: MessageRow) =>
      row.kind === "test"
        ? row.next_s
        : notInQuietHours(Math.max(row.next_s, Math.min(now, row.expires_s)), contact, row.priority, timezone);
    const isDue = (row: MessageRow) => row.next_s <= now && at_s(row) <= now;
    const open = rows.filter(({ alarm }) => alarm !== null);
    const tests = rows.filter((row) => row.alarm === null && isDue(row));
    const next_s = Math.min(...rows.map((row) => Math.max(row.next_s, at_s(row))));
    if (!open.some(isDue)) return { ready: tests.slice(0, 1), next_s };
    const free_s = freeAgain(
      contact,
      open.some((row) => isUrgent(row) && isDue(row)),
      now,
    );
    if (free_s > now) return { ready: tests.slice(0, 1), next_s: free_s };
    // What has begun and only waits for others to gather goes along; a later call of the escalation does not.
    return { ready: open.filter((row) => isDue(row) || isGathering(row, now)), next_s };
  }

  /** When the contact may be told again: what is urgent has an allowance of its own. */
  function freeAgain(contact: Contact, urgent: boolean, now: number): number {
    const sent = outbox
      .sentSince(contact.name, now - 3600)
      .filter((each) => each.at_s <= now && isUrgent(each) === urgent);
    const oldest = sent.at(-contact.mostAnHour);
    return oldest === undefined ? now : oldest.at_s + 3600;
  }

  function begin(attempt: Attempt): void {
    const giveUp = new AbortController();
    const own = lane(attempt.contact.name, attempt.rows.some(isUrgent));
    const done = make(attempt, giveUp)
      .catch((error: unknown) => setBack(attempt.contact, attempt.rows, error))
      .finally(() => {
        busy.delete(own);
        if (closed) return;
        parts.onChange();
        look();
      });
    busy.set(own, { done, giveUp });
  }

  /** A message that cannot even be put into words is a defect: it waits like one that failed, and the others go on. */
  function setBack(contact: Contact, rows: readonly MessageRow[], error: unknown): void {
    const reason = error instanceof Error ? error.message : String(error);
    parts.log(`alarms: telling ${contact.name} failed: ${reason}`);
    for (const { id, tries } of rows) {
      const next_s = now_s() + Math.min(longestPause_s, firstPause_s * 2 ** tries);
      outbox.change([id], { state: "waiting", tries: tries + 1, reason, next_s });
    }
  }

  /** Null where nothing is to be sent, and that is marked. */
  function prepare(contact: Contact, rows: readonly MessageRow[]): Attempt | null {
    try {
      const [lead, ...others] = firstCauseFirst(rows) as [MessageRow, ...MessageRow[]];
      const ways = contact.reach.filter(({ by }) => {
        const channel = parts.channels.get(by);
        if (channel === undefined || (lead.kind === "unproven" && channel.wordless === true)) return false;
        return lead.onlyBy === null || by === lead.onlyBy;
      });
      const way = ways[lead.way % Math.max(1, ways.length)];
      const at = way && parts.channels.get(way.by);
      const ids = rows.map(({ id }) => id);
      if (way === undefined || at === undefined) {
        outbox.change(ids, { state: "refused", reason: `no channel ${lead.onlyBy ?? ""} to ${contact.name}` });
        return null;
      }
      const message = compose([lead, ...others], at, way.to);
      outbox.change(ids, { state: "sending", joinedTo: null });
      outbox.change(
        others.map(({ id }) => id),
        { joinedTo: lead.id },
      );
      return { contact, rows, lead, at, ways: ways.length, message };
    } catch (error) {
      setBack(contact, rows, error);
      return null;
    }
  }

  async function make({ contact, rows, lead, at, ways, message }: Attempt, giveUp: AbortController): Promise<void> {
    const { signal } = giveUp;
    const late = setTimeout(() => giveUp.abort(), attempt_s * 1000).unref();
    const outcome = await Promise.race([at.channel.send(message, signal), noEnd(signal)])
      .catch(
        (error: unknown): Outcome => ({
          is: "failed",
          reason: error instanceof Error ? error.message : String(error),
          again: true,
        }),
      )
      .finally(() => clearTimeout(late));
    if (closed && outcome.is === "failed") return; // stays `sending`: after the next start it may be a repetition
    const ids = rows.map(({ id }) => id);
    outbox.together(() => settle(contact, lead, ids, at.name, ways, outcome));
  }

  function settle(
    contact: Contact,
    lead: MessageRow,
    ids: readonly number[],
    by: string,
    ways: number,
    outcome: Outcome,
  ): void {
    const now = now_s();
    if (outcome.is !== "failed") {
      outbox.change(ids, {
        ...{ state: "sent", sent_s: now, sentBy: by, reason: null },
        delivered_s: outcome.is === "delivered" ? now : null,
      });
      outbox.prove({ contact: contact.name, by, at_s: now });
      return;
    }
    const { reason, again, mayHaveLeft = false } = outcome;
    const tries = lead.tries + 1;
    const round = Math.floor(tries / ways);
    parts.log(`alarms: message ${lead.id} to ${contact.name} by ${by}: ${reason}`);
    // Whoever asked for a test looks at what became of it; nobody does at a proof.
    if (lead.kind === "test") {
      outbox.change(ids, { state: "refused", tries, reason });
      return;
    }
    // Another way is tried at once; after all of them, a pause. One that will never work is tried in each round all the
    // same: what refuses a message today may be mended, and nothing better is left.
    const most_s = lead.kind === "proof" ? longestProofPause_s : longestPause_s;
    const pause_s = tries % ways !== 0 ? 0 : Math.min(most_s, firstPause_s * 2 ** (round - 1));
    outbox.change(ids, {
      ...{ state: "waiting", way: lead.way + 1, tries, reason: again ? reason : `${reason} (for good)` },
      maybeSent: mayHaveLeft || lead.maybeSent,
      next_s: now + pause_s * (0.75 + parts.random() / 2),
    });
  }

  function compose(rows: readonly [MessageRow, ...MessageRow[]], at: ChannelAtWork, to: string): OutgoingMessage {
    const [lead] = rows;
    const link = lead.alarm === null ? null : parts.linkTo(lead.id);
    const maybeRepeated = rows.some(({ maybeSent }) => maybeSent) && !at.comparesKeys;
    const code = at.takesReplies ? lead.id : null;
    const said = lead.alarm === null ? saidOfWays(lead) : tellings(rows, { code, maybeRepeated, link });
    return {
      subject: said.subject,
      text: said.text,
      get body() {
        return said.body;
      },
      key: keyOf(lead),
      to,
      priority: lead.priority,
      link,
      maybeRepeated,
      data: {
        message: lead.id,
        site: parts.voice.siteName,
        alarms: rows.map(({ kind, alarm, occurrence, priority, from_s, to_s, facts }) => ({
          ...{ kind, alarm, occurrence, priority, from_s, to_s, facts },
        })),
      },
    };
  }

  /** Of no alarm, but of the ways to tell of one. */
  function saidOfWays({ kind, facts }: MessageRow): Said {
    if (kind === "unproven") return sayUnproven(parts.voice, facts);
    return sayProof(parts.voice, kind === "test" ? "test" : "monthly");
  }

  function tellings(rows: readonly MessageRow[], how: Parameters<typeof say>[2]): Said {
    return say(withoutRepeats(rows).map(telling) as [Telling, ...Telling[]], parts.voice, how);
  }

  function telling(row: MessageRow): Telling {
    const { kind, alarm, from_s, to_s, created_s } = row;
    const definition = alarm === null ? null : parts.definitionOf(alarm);
    if (definition === null || kind === "test" || kind === "proof" || kind === "unproven")
      throw new RangeError(`alarms: a message of kind ${kind} tells of no alarm`);
    return { kind, definition, facts: factsOf(row), from_s: from_s ?? created_s, to_s };
  }

  /** Who is called later, or reached at last, is told of now: no water that reaches the floor in minutes that are over. */
  function factsOf({ kind, occurrence, facts, created_s }: MessageRow): AlarmFacts {
    if (kind === "over" || now_s() - created_s < news_s) return facts;
    const { to_floor_s: _, to_floor_earliest_s: __, to_floor_latest_s: ___, rise_ms: ____, ...lasting } = facts;
    return parts.factsNow(occurrence) ?? lasting;
  }

  /** What was handed over and then did not arrive is tried again, by the contact's next way first. */
  function failedAfterAll(row: MessageRow, ids: readonly number[], by: string, reason: string): void {
    const contact = parts.config.contacts.find(({ name }) => name === row.contact);
    if (contact === undefined) return;
    settle(contact, row, ids, by, row.onlyBy === null ? contact.reach.length : 1, {
      is: "failed",
      reason,
      again: true,
    });
    outbox.change(ids, { sent_s: null });
    look();
  }

  return {
    look,
    receipt(by, key, delivered, reason) {
      const id = Number(/^\w+-(\d+)$/.exec(key)?.[1]);
      const row = Number.isNaN(id) ? null : outbox.message(id);
      // Of an attempt before the last one, by another way: that one is judged by its own.
      if (row === null || keyOf(row) !== key || (row.sentBy !== null && row.sentBy !== by)) return;
      const ids = [id, ...outbox.joinedIds(id)];
      if (delivered) {
        outbox.change(ids, { delivered_s: now_s() });
        outbox.prove({ contact: row.contact, by, at_s: now_s() });
      } else if (row.state !== "sent" || row.kind === "test") outbox.change(ids, { reason });
      else failedAfterAll(row, ids, by, reason ?? "it did not arrive");
      parts.onChange();
    },
    async close() {
      closed = true;
      cancelWait?.();
      for (const { giveUp } of busy.values()) giveUp.abort();
      await Promise.all([...busy.values()].map(({ done }) => done));
    },
  };
}

/** The beginning before the end, the cause before its consequences: by when the condition began. */
function firstCauseFirst(rows: readonly MessageRow[]): MessageRow[] {
  return rows.toSorted((a, b) => (a.from_s ?? a.created_s) - (b.from_s ?? b.created_s) || a.id - b.id);
}

function urgency(rows: readonly MessageRow[], now: number): number {
  return Math.min(...rows.map((row) => (row.next_s <= now ? rank[row.priority] : 3)));
}

/** Not tried yet, and due within the time in which others may gather. */
function isGathering(row: MessageRow, now: number): boolean {
  return row.tries === 0 && row.due_s - now <= longestGathering_s && row.due_s - row.created_s <= longestGathering_s;
}

const longestGathering_s = 120;
/** What is told later than this tells what is true then. */
const news_s = 30;

/** What cannot wait; the end of something can. */
function isUrgent({ priority, kind }: Pick<MessageRow, "priority" | "kind">): boolean {
  return priority === "high" && kind !== "over";
}

/** The same at each attempt, and of no other message of any board. */
function keyOf({ origin, id }: MessageRow): string {
  return `${origin}-${id}`;
}

function lane(contact: string, urgent: boolean): string {
  return `${urgent ? "high" : "other"} ${contact}`;
}

/**
 * Of several that say the same of one occurrence the last: two steps of the escalation, or twice worse. A further round
 * says nothing beside what has only now got through.
 */
function withoutRepeats(rows: readonly MessageRow[]): MessageRow[] {
  return rows.filter(({ kind, occurrence }, i) => {
    const others = rows.filter((other) => other.occurrence === occurrence && other !== rows[i]);
    if (kind === "again" && others.some((other) => other.kind === "raised" || other.kind === "worse")) return false;
    return !others.some((other) => other.kind === kind && rows.indexOf(other) > i);
  });
}

/** A channel that does not even give up. */
function noEnd(signal: AbortSignal): Promise<Outcome> {
  return new Promise((resolve) => {
    const giveUp = () => {
      const given: Outcome = { is: "failed", reason: "no end of it in time", again: true, mayHaveLeft: true };
      setTimeout(() => resolve(given), graceful_ms).unref();
    };
    if (signal.aborted) giveUp();
    else signal.addEventListener("abort", giveUp, { once: true });
  });
}

const graceful_ms = 5000;
