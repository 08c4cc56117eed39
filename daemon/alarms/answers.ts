// What a person answers, by a link that only this board can have made or in words, and who it is.

import { createHmac, randomBytes, timingSafeEqual } from "node:crypto";
import type { Contact } from "./alarms-config.ts";
import type { Outbox } from "./outbox/outbox.ts";

export interface Links {
  /** What a link to the page names a message by. */
  tokenOf(message: number): string;
  /** Number of the message; null where the token is none of ours. */
  messageOf(token: string): number | null;
}

export function createLinks(outbox: Pick<Outbox, "note" | "setNote">): Links {
  const secret = ownSecret(outbox);
  const sign = (message: number) => createHmac("sha256", secret).update(`message ${message}`).digest("base64url");
  return {
    tokenOf: (message) => `${message}.${sign(message)}`,
    messageOf(token) {
      const [number = "", signature = ""] = token.split(".");
      return /^\d{1,15}$/.test(number) && alike(signature, sign(Number(number))) ? Number(number) : null;
    },
  };
}

/**
 * `OK`, `OK 17`, and as thumbs write it at night: `0k17`, `Reply OK 17.`, `17`.
 *
 * @returns the number of the message that is meant, null of all; undefined where it is no answer
 */
export function readAnswer(text: string): number | null | undefined {
  const [number] = /^\d{1,15}(?=\W*$)/.exec(text.trim()) ?? [];
  if (number !== undefined) return Number(number);
  const said = /^\W*(?:reply\W+)?[o0]k(?:ay)?(?:\W*(\d+))?(?!\w)/i.exec(text.trim());
  return said === null ? undefined : said[1] === undefined ? null : Number(said[1]);
}

/** Those who are reached by that address. */
export function contactsAt(address: string, contacts: readonly Contact[]): Contact[] {
  return contacts.filter(({ reach }) => reach.some(({ to }) => sameAddress(to, address)));
}

function ownSecret(outbox: Pick<Outbox, "note" | "setNote">): string {
  const kept = outbox.note("secret");
  if (kept !== null) return kept;
  const made = randomBytes(32).toString("hex");
  outbox.setNote("secret", made);
  return made;
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
