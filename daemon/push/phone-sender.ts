// Sends notes to the phones of a book, and keeps what came of it: what was taken, whose subscription is over, who was not
// reached last time and why, and which push service wants to be left alone.

import type { PushNote } from "../server/phones-types.ts";
import type { Phone, PhoneBook } from "./phone-book.ts";
import { type PushOutcome, postPush } from "./post-push.ts";
import { payloadOf, type Treatment } from "./push-note.ts";

export interface PhoneSender {
  /** Never rejects. */
  send(phone: Phone, note: Omit<PushNote, "phone">, treatment: Treatment, signal: AbortSignal): Promise<PushOutcome>;
  /** Why a phone was not reached last time; null: it was, or nothing was sent. */
  problemOf(id: string): string | null;
  /** A phone says that it showed a message; false: it was sent no such thing, or before the last start. */
  shown(id: string, key: string): boolean;
}

export interface PhoneSenderParts {
  readonly book: PhoneBook;
  /** Of whoever runs this; push services can write there (RFC 8292). */
  readonly email: string;
  readonly ca: Buffer | null;
  now_s(): number;
  log(line: string): void;
}

const mostRemembered = 200;

export function phoneSender({ book, email, ca, now_s, log }: PhoneSenderParts): PhoneSender {
  const sender = { ...book.keys, subject: `mailto:${email}`, ca };
  /** Until when each push service wants to be left alone. */
  const waits = new Map<string, number>();
  const problems = new Map<string, string>();
  /** To which phones a message went: only what they were sent can they have shown. */
  const sent = new Map<string, Set<string>>();

  function remember(key: string, id: string): void {
    sent.set(key, (sent.get(key) ?? new Set()).add(id));
    for (const oldest of sent.keys()) if (sent.size > mostRemembered) sent.delete(oldest);
  }

  function note(phone: Phone, outcome: PushOutcome): void {
    problems.delete(phone.id);
    if (outcome.is === "taken") book.note(phone.id, { took_s: now_s() });
    else if (outcome.is === "gone") {
      log(`${called(phone)} is told no more: ${outcome.reason}`);
      book.note(phone.id, { ended: { at_s: now_s(), reason: outcome.reason } });
    } else problems.set(phone.id, outcome.reason);
  }

  return {
    async send(phone, { key, ...rest }, treatment, signal) {
      const { origin, host } = new URL(phone.endpoint);
      const left_s = Math.ceil((waits.get(origin) ?? 0) - now_s());
      if (left_s > 0) {
        const reason = `${host}: wants to be left alone for another ${left_s} s`;
        return { is: "failed", reason, again: true, mayHaveLeft: false, wait_s: left_s };
      }
      remember(key, phone.id);
      const payload = payloadOf({ key, ...rest, phone: phone.id });
      const outcome = await postPush(phone, payload, treatment, sender, { signal, now_s: now_s() });
      if (outcome.is === "failed" && outcome.wait_s !== null) waits.set(origin, now_s() + outcome.wait_s);
      note(phone, outcome);
      return outcome;
    },
    problemOf: (id) => problems.get(id) ?? null,
    shown(id, key) {
      if (sent.get(key)?.has(id) !== true) return false;
      book.note(id, { shown_s: now_s() });
      return true;
    },
  };
}

export function called({ to, name }: Phone): string {
  return `${to}'s ${name}`;
}
