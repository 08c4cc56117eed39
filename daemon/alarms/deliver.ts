// Takes what is due out of the outbox and through the channels: the highest priority first, a contact's ways in their order,
// with growing pauses after failures, not more than the contact wants in an hour; what waits together goes together.

import type { Schedule } from "../sources/schedule.ts";
import type { AlarmsConfig, Contact } from "./alarms-config.ts";
import { afterAttempt, firstPause_s, longestPause_s, tryToSend } from "./attempt.ts";
import type { Outcome, OutgoingMessage } from "./channels/channel.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";
import { type ComposeParts, composeMessage, firstCauseFirst, messageKey } from "./compose-message.ts";
import type { MessageRow } from "./outbox/message-row.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { isUrgent, urgency, whatIsDue } from "./what-is-due.ts";

export interface DeliveryParts extends ComposeParts {
  readonly outbox: Outbox;
  readonly config: AlarmsConfig;
  readonly channels: ReadonlyMap<string, ChannelAtWork>;
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
   * @param at_s  its time, which a clock may not quite have come to; by default now
   */
  look(first?: () => void, at_s?: number): void;
  /**
   * Puts on the card, ahead of that time, what would follow and what would then be sent at once.
   *
   * @param first as of `look`
   * @returns null where nothing urgent would be sent, or the card does not take it
   */
  foresee(first: () => void, at_s: number): Foreseen | null;
  /** What a channel learned later of a message that it had handed over. */
  receipt(by: string, key: string, delivered: boolean, reason: string | null): void;
  /** Gives up what is under way; it stays in the outbox. */
  close(): Promise<void>;
}

/** What is on the card ahead of its time. Whatever else is written takes it back. */
export interface Foreseen {
  /** It is so: sends it. False: it has been taken back. */
  send(): boolean;
  takeBack(): void;
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

export function startDelivery(parts: DeliveryParts): Delivery {
  const { outbox, now_s } = parts;
  /**
   * Attempts under way: of each contact one at a time, and beside it one of high priority, which does not wait for what a
   * slow channel does with something less.
   */
  const busy = new Map<string, { readonly done: Promise<void>; readonly giveUp: AbortController }>();
  let cancelWait: (() => void) | null = null;
  let closed = false;

  function look(first = () => {}, at_s = now_s()): void {
    let begun: Attempt[] = [];
    outbox.together(() => {
      first();
      if (closed) return;
      const kept = outbox.waiting();
      const chosen = choose(withoutUnknown(expire(kept, at_s) ? outbox.waiting() : kept), at_s);
      begun = chosen.begun;
      lookAt(chosen.next_s);
    });
    for (const attempt of begun) begin(attempt);
  }

  function foresee(first: () => void, at_s: number): Foreseen | null {
    const ahead = outbox.ahead(() => {
      first();
      const waiting = outbox
        .waiting()
        .filter(({ expires_s, alarm }) => expires_s > at_s && (alarm === null || parts.definitionOf(alarm) !== null));
      const { begun } = choose(waiting, at_s);
      return begun.some(({ rows }) => rows.some(isUrgent)) ? begun : null;
    });
    if (ahead === null) return null;
    return {
      send() {
        if (closed || !ahead.stands()) return false;
        ahead.confirm();
        for (const attempt of ahead.result) begin(attempt);
        lookAt(at_s);
        return true;
      },
      takeBack: ahead.takeBack,
    };
  }

  function lookAt(next_s: number): void {
    cancelWait?.();
    cancelWait = null;
    if (next_s < Number.POSITIVE_INFINITY)
      cancelWait = parts.schedule(() => look(), Math.min(3600, Math.max(0.001, next_s - now_s())));
  }

  /** What goes now, and is marked so; and when to look at the rest. */
  function choose(waiting: readonly MessageRow[], now: number): { readonly begun: Attempt[]; readonly next_s: number } {
    let next_s = Number.POSITIVE_INFINITY;
    const begun: Attempt[] = [];
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
      const open = busy.has(lane(name, false)) ? rows.filter(isUrgent) : rows;
      const due = whatIsDue(open, contact, now, { outbox, house: parts.voice.house });
      const attempt = due.ready.length === 0 ? null : prepare(contact, due.ready);
      if (attempt !== null) begun.push(attempt);
      else if (due.ready.length > 0) next_s = Math.min(next_s, now + firstPause_s);
      else next_s = Math.min(next_s, due.next_s, ...rows.map(({ expires_s }) => expires_s));
    }
    return { begun, next_s };
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
      const message = composeMessage([lead, ...others], at, way.to, parts);
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
    const outcome = await tryToSend(at, message, giveUp);
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
    outbox.change(ids, afterAttempt(lead, outcome, { by, ways, now_s: now, chance: parts.random() }));
    if (outcome.is === "failed") parts.log(`alarms: message ${lead.id} to ${contact.name} by ${by}: ${outcome.reason}`);
    else outbox.prove({ contact: contact.name, by, at_s: now });
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
    foresee,
    receipt(by, key, delivered, reason) {
      const id = Number(/^\w+-(\d+)$/.exec(key)?.[1]);
      const row = Number.isNaN(id) ? null : outbox.message(id);
      // Of an attempt before the last one, by another way: that one is judged by its own.
      if (row === null || messageKey(row) !== key || (row.sentBy !== null && row.sentBy !== by)) return;
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

function lane(contact: string, urgent: boolean): string {
  return `${urgent ? "high" : "other"} ${contact}`;
}
