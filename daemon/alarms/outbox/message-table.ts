// The messages in memory. What is asked on the way of an alarm is at hand, however many there have been; the rest is
// looked up in all of them, for pages and at the start.

import type { MessageChange, MessageKind, MessageRow } from "./message-row.ts";
import type { FailedProof } from "./proven.ts";

export interface MessageTable {
  /** One with a key or a number that is there is left out. */
  add(message: MessageRow): void;
  hasKey(key: string): boolean;
  change(id: number, change: MessageChange): void;
  /** As if it had never been added. */
  remove(id: number): void;
  get(id: number): MessageRow | null;
  /** In the order of their numbers. */
  waiting(): MessageRow[];
  of(occurrence: string): MessageRow[];
  /** Those about alarms that left for a contact since then, by their time. */
  sentSince(contact: string, since_s: number): MessageRow[];
  joinedTo(id: number): MessageRow[];
  /** In the order of their numbers. */
  all(): MessageRow[];
  failedProofs(): FailedProof[];
  /** Those made before, whose end is known. */
  forget(before_s: number): void;
}

const provesAWay: ReadonlySet<MessageKind> = new Set(["test", "proof"]);

export function createMessageTable(): MessageTable {
  const byId = new Map<number, MessageRow>();
  const keys = new Set<string>();
  const waiting = new Set<number>();
  const byOccurrence = new Map<string, number[]>();
  /** Of each contact, by the time. */
  const sent = new Map<string, MessageRow[]>();

  function put(message: MessageRow, before: MessageRow | null): void {
    const { id, contact, state, sent_s } = message;
    byId.set(id, message);
    if (state === "waiting") waiting.add(id);
    else waiting.delete(id);
    if (before?.sent_s != null) remove(sent.get(contact), before);
    if (sent_s !== null) insert(listOf(sent, contact), message, sent_s);
  }

  function drop(message: MessageRow): void {
    const { id, key, occurrence, contact } = message;
    byId.delete(id);
    keys.delete(key);
    waiting.delete(id);
    remove(sent.get(contact), message);
    const left = (byOccurrence.get(occurrence) ?? []).filter((each) => each !== id);
    if (left.length > 0) byOccurrence.set(occurrence, left);
    else byOccurrence.delete(occurrence);
  }

  const rows = (ids: Iterable<number>) =>
    Array.from(ids, (id) => byId.get(id)).filter((message) => message !== undefined);
  const all = () => [...byId.values()].sort((a, b) => a.id - b.id);

  return {
    add(message) {
      if (byId.has(message.id) || keys.has(message.key)) return;
      keys.add(message.key);
      listOf(byOccurrence, message.occurrence).push(message.id);
      put(message, null);
    },
    hasKey: (key) => keys.has(key),
    change(id, change) {
      const before = byId.get(id);
      if (before !== undefined) put({ ...before, ...change }, before);
    },
    remove(id) {
      const message = byId.get(id);
      if (message !== undefined) drop(message);
    },
    get: (id) => byId.get(id) ?? null,
    waiting: () => rows([...waiting].sort((a, b) => a - b)),
    of: (occurrence) => rows(byOccurrence.get(occurrence) ?? []),
    sentSince(contact, since_s) {
      const list = sent.get(contact) ?? [];
      const first = list.findLastIndex(({ sent_s }) => sent_s !== null && sent_s < since_s) + 1;
      return list.slice(first).filter(({ joinedTo, kind }) => joinedTo === null && !provesAWay.has(kind));
    },
    joinedTo: (id) => all().filter(({ joinedTo }) => joinedTo === id),
    all,
    failedProofs() {
      const last = new Map<string, MessageRow>();
      for (const message of all()) {
        if (!provesAWay.has(message.kind) || message.state === "waiting" || message.state === "sending") continue;
        last.set(JSON.stringify([message.contact, message.onlyBy]), message);
      }
      return [...last.values()].flatMap((message) => {
        const { state, contact, onlyBy, reason, expires_s, sent_s, next_s } = message;
        // One that was handed on, and then did not arrive, has a reason.
        if (onlyBy === null || (state === "sent" && reason === null)) return [];
        const at_s = state === "expired" ? expires_s : state === "sent" ? (sent_s ?? next_s) : next_s;
        return [{ contact, by: onlyBy, at_s, reason }];
      });
    },
    forget(before_s) {
      for (const message of all()) {
        const { created_s, state } = message;
        if (created_s < before_s && state !== "waiting" && state !== "sending") drop(message);
      }
    },
  };
}

function listOf<Item>(lists: Map<string, Item[]>, name: string): Item[] {
  const known = lists.get(name);
  if (known !== undefined) return known;
  const made: Item[] = [];
  lists.set(name, made);
  return made;
}

function remove(list: MessageRow[] | undefined, message: MessageRow): void {
  const at = list?.indexOf(message) ?? -1;
  if (at !== -1) list?.splice(at, 1);
}

function insert(list: MessageRow[], message: MessageRow, sent_s: number): void {
  list.splice(list.findLastIndex((each) => (each.sent_s ?? 0) <= sent_s) + 1, 0, message);
}
