// Takes what is due out of the outbox and through the channels: the highest priority first, a contact's ways in their order,
// with growing pauses after failures, not more than the contact wants in an hour; what waits together goes together.

import type { AlarmDefinition, AlarmName, Priority } from "../../analysis/alarms/alarm.ts";
import type { Schedule } from "../sources/schedule.ts";
import type { AlarmsConfig, Contact } from "./alarms-config.ts";
import type { OpenChannel, Outcome, OutgoingMessage } from "./channels/channel.ts";
import type { MessageRow } from "./outbox/message-row.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { type Said, say, sayProof, type Telling, type Voice } from "./words.ts";

export interface ChannelAtWork {
  readonly name: string;
  readonly channel: OpenChannel;
  readonly comparesKeys: boolean;
  readonly takesReplies: boolean;
}

export interface DeliveryParts {
  readonly outbox: Outbox;
  readonly config: AlarmsConfig;
  readonly channels: ReadonlyMap<string, ChannelAtWork>;
  readonly voice: Voice;
  definitionOf(name: AlarmName): AlarmDefinition;
  /** Page that acknowledges an occurrence; null where the page has no address. */
  linkTo(occurrence: string): string | null;
  readonly now_s: () => number;
  readonly schedule: Schedule;
  /** 0 to 1, for the jitter. */
  readonly random: () => number;
  log(line: string): void;
  /** Something that the page shows has changed. */
  onChange(): void;
}

export interface Delivery {
  /** Something new may be due. */
  look(): void;
  /** What a channel learned later of a message that it had handed over. */
  receipt(key: string, delivered: boolean, reason: string | null): void;
  /** Gives up what is under way; it stays in the outbox. */
  close(): Promise<void>;
}

const rank: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };
/** After a round of failures over all ways: doubled each time, up to the longest. */
const firstPause_s = 5;
const longestPause_s = 900;
/** A channel that has not answered by then is given up for this time. */
const attempt_s = 90;

export function startDelivery(parts: DeliveryParts): Delivery {
  const { outbox, now_s } = parts;
  /** Contacts with an attempt under way: one at a time each. */
  const busy = new Map<string, { readonly done: Promise<void>; readonly giveUp: AbortController }>();
  let cancelWait: (() => void) | null = null;
  let closed = false;

  function look(): void {
    if (closed) return;
    cancelWait?.();
    cancelWait = null;
    const now = now_s();
    let next_s = Number.POSITIVE_INFINITY;
    const waiting = withoutExpired(outbox.waiting(), now);
    const byContact = Map.groupBy(waiting, ({ contact }) => contact);
    const contacts = [...byContact].toSorted(([, a], [, b]) => urgency(a, now) - urgency(b, now));
    for (const [name, rows] of contacts) {
      if (busy.has(name)) continue;
      const contact = parts.config.contacts.find((each) => each.name === name);
      if (contact === undefined) {
        outbox.change(
          rows.map(({ id }) => id),
          { state: "refused", reason: `${name} is no contact of the site file any more` },
        );
        continue;
      }
      const due = whatIsDue(rows, contact, now);
      if (due.ready.length > 0) begin(contact, due.ready);
      else next_s = Math.min(next_s, due.next_s);
    }
    if (next_s < Number.POSITIVE_INFINITY) {
      cancelWait = parts.schedule(look, Math.min(3600, Math.max(0.001, next_s - now_s())));
    }
  }

  function withoutExpired(rows: readonly MessageRow[], now: number): MessageRow[] {
    const expired = rows.filter(({ expires_s }) => expires_s <= now);
    outbox.change(
      expired.map(({ id }) => id),
      { state: "expired" },
    );
    for (const { id, contact, reason } of expired)
      parts.log(`alarms: message ${id} to ${contact} was not sent in time${reason === null ? "" : `: ${reason}`}`);
    return rows.filter(({ expires_s }) => expires_s > now);
  }

  /** Those that go now, as one message; else when to look again. */
  function whatIsDue(
    rows: readonly MessageRow[],
    contact: Contact,
    now: number,
  ): { readonly ready: MessageRow[]; readonly next_s: number } {
    const open = rows.filter(({ kind }) => kind !== "test" && kind !== "proof");
    const tests = rows.filter(({ kind, next_s }) => (kind === "test" || kind === "proof") && next_s <= now);
    const next_s = Math.min(...rows.map((row) => row.next_s));
    if (open.every((row) => row.next_s > now)) return { ready: tests.slice(0, 1), next_s };
    const high = open.some((row) => row.priority === "high" && row.next_s <= now);
    const free_s = freeAgain(contact, high, now);
    if (free_s > now) return { ready: tests.slice(0, 1), next_s: free_s };
    // What has begun and only waits for others to gather goes along; a later call of the escalation does not.
    return { ready: open.filter((row) => row.next_s <= now || isGathering(row, now)), next_s };
  }

  /** When the contact may be told again: `high` has an allowance of its own. */
  function freeAgain(contact: Contact, high: boolean, now: number): number {
    const sent = outbox.sentSince(contact.name, now - 3600).filter(({ priority }) => (priority === "high") === high);
    const oldest = sent.at(-contact.mostAnHour);
    return oldest === undefined ? now : oldest.at_s + 3600;
  }

  function begin(contact: Contact, rows: readonly MessageRow[]): void {
    const giveUp = new AbortController();
    const done = attempt(contact, rows, giveUp.signal)
      .catch((error: unknown) => parts.log(`alarms: telling ${contact.name} failed: ${String(error)}`))
      .finally(() => {
        busy.delete(contact.name);
        parts.onChange();
        look();
      });
    busy.set(contact.name, { done, giveUp });
  }

  async function attempt(contact: Contact, rows: readonly MessageRow[], signal: AbortSignal): Promise<void> {
    const [lead, ...others] = firstCauseFirst(rows) as [MessageRow, ...MessageRow[]];
    const ways = contact.reach.filter(({ by }) => lead.onlyBy === null || by === lead.onlyBy);
    const way = ways[lead.way % Math.max(1, ways.length)];
    const at = way && parts.channels.get(way.by);
    const ids = rows.map(({ id }) => id);
    if (way === undefined || at === undefined) {
      outbox.change(ids, { state: "refused", reason: `no channel ${way?.by ?? lead.onlyBy ?? ""} to ${contact.name}` });
      return;
    }
    const message = compose([lead, ...others], at, way.to);
    outbox.change(ids, { state: "sending" });
    outbox.change(
      others.map(({ id }) => id),
      { joinedTo: lead.id },
    );
    const timeout = AbortSignal.any([signal, AbortSignal.timeout(attempt_s * 1000)]);
    const outcome = await at.channel.send(message, timeout).catch(
      (error: unknown): Outcome => ({
        is: "failed",
        reason: error instanceof Error ? error.message : String(error),
        again: true,
      }),
    );
    if (closed && outcome.is === "failed") return; // stays `sending`: after the next start it may be a repetition
    settle(contact, lead, ids, way.by, ways.length, outcome);
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
      if (outcome.is === "delivered" || lead.kind !== "test") outbox.prove({ contact: contact.name, by, at_s: now });
      return;
    }
    const { reason, again, mayHaveLeft = false } = outcome;
    const tries = lead.tries + 1;
    const round = Math.floor(tries / ways);
    parts.log(`alarms: message ${lead.id} to ${contact.name} by ${by}: ${reason}`);
    if (lead.onlyBy !== null) {
      outbox.change(ids, { state: "refused", tries, reason });
      return;
    }
    // Another way is tried at once; after all of them, a pause. One that will never work is tried in each round all the
    // same: what refuses a message today may be mended, and nothing better is left.
    const pause_s = tries % ways !== 0 ? 0 : Math.min(longestPause_s, firstPause_s * 2 ** (round - 1));
    outbox.change(ids, {
      ...{ state: "waiting", way: lead.way + 1, tries, reason: again ? reason : `${reason} (for good)` },
      maybeSent: mayHaveLeft || lead.maybeSent,
      next_s: now + pause_s * (0.75 + parts.random() / 2),
    });
  }

  function compose(rows: readonly [MessageRow, ...MessageRow[]], at: ChannelAtWork, to: string): OutgoingMessage {
    const [lead] = rows;
    const link = parts.linkTo(lead.occurrence);
    const maybeRepeated = rows.some(({ maybeSent }) => maybeSent) && !at.comparesKeys;
    const said: Said =
      lead.kind === "test" || lead.kind === "proof"
        ? sayProof(parts.voice, lead.kind === "test" ? "test" : "monthly")
        : say(rows.map(telling) as [Telling, ...Telling[]], parts.voice, {
            code: at.takesReplies ? lead.id : null,
            maybeRepeated,
            link,
          });
    return {
      ...said,
      key: `m${lead.id}-${lead.key}`.slice(0, 64),
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

  function telling({ kind, alarm, facts, from_s, to_s, created_s }: MessageRow): Telling {
    if (alarm === null || (kind !== "raised" && kind !== "worse" && kind !== "over"))
      throw new RangeError(`alarms: a message of kind ${kind} tells of no alarm`);
    return { kind, definition: parts.definitionOf(alarm), facts, from_s: from_s ?? created_s, to_s };
  }

  return {
    look,
    receipt(key, delivered, reason) {
      const id = Number(/^m(\d+)-/.exec(key)?.[1]);
      const row = Number.isNaN(id) ? null : outbox.message(id);
      if (row === null) return;
      outbox.change([id], delivered ? { delivered_s: now_s() } : { reason });
      if (delivered && row.sentBy !== null) outbox.prove({ contact: row.contact, by: row.sentBy, at_s: now_s() });
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
