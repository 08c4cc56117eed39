// What a phone is sent, and how its push service is to treat it: how long to keep it, how urgent it is, what it replaces
// (RFC 8030).

import { createHash } from "node:crypto";
import type { Priority } from "../../analysis/alarms/alarm.ts";
import type { PushNote } from "../server/phones-types.ts";

export interface Treatment {
  /** The push service keeps it for so long for a phone that is away. */
  readonly ttl_s: number;
  /** Of RFC 8030, 5.3: whether a phone that saves its battery is woken. */
  readonly urgency: "high" | "normal" | "low";
  /** Of RFC 8030, 5.4: takes the place of what still waits with the same topic. */
  readonly topic: string;
}

/** As long as a message is tried at all: later it is no news. */
const kept_s: Readonly<Record<Priority, number>> = { high: 12 * 3600, medium: 24 * 3600, low: 3 * 86_400 };
const test_s = 600;
const urgencies = { high: "high", medium: "normal", low: "low" } as const;
/** A push service takes 4096 bytes, encrypted, from everybody (RFC 8030, 7.2); this leaves room for all that is not text. */
const longest = { title: 120, text: 500, url: 1000 };

/**
 * @param about what it is of: `high-water-3`
 * @param kind  `test`: of nothing; `over`: nobody is woken by it
 */
export function treatment(about: string, priority: Priority, kind: "alarm" | "over" | "test"): Treatment {
  return {
    ttl_s: kind === "test" ? test_s : kept_s[priority],
    urgency: kind === "over" && priority === "high" ? "normal" : kind === "test" ? "normal" : urgencies[priority],
    topic: topicOf(about),
  };
}

/** At most 32 characters of base64url (RFC 8030, 5.4), which say nothing to the push service. */
export function topicOf(about: string): string {
  return createHash("sha256").update(about).digest("base64url").slice(0, 32);
}

/**
 * What a notice tells of, for the phone, which takes it off when all of that is over.
 *
 * @param lasts what is true; `over`: what is no more, though it may have begun in the same notice
 */
export function subjects(lasts: readonly string[], over: readonly string[]): Pick<PushNote, "lasts" | "over"> {
  const ended = new Set(over);
  const short = (all: readonly string[]) => [...new Set(all)].map((each) => topicOf(each).slice(0, shortId));
  const both = { lasts: short(lasts.filter((each) => !ended.has(each))), over: short(over) };
  // Of half of them it could not be said when all is over.
  return both.lasts.length + both.over.length > mostSubjects ? { lasts: [], over: [] } : both;
}

/** As many find room in a message. */
const mostSubjects = 60;
const shortId = 10;

export function payloadOf(note: PushNote): string {
  const { title, text, url, ...rest } = note;
  return JSON.stringify({
    ...rest,
    title: cut(title, longest.title),
    text: cut(text, longest.text),
    // Half an address leads nowhere.
    url: url !== null && url.length <= longest.url ? url : null,
  });
}

function cut(text: string, length: number): string {
  const characters = [...text];
  return characters.length <= length ? text : `${characters.slice(0, length - 1).join("")}…`;
}
