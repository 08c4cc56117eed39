// What was sent of alarms and what became of it, in plain words. Pure.

import type { AlarmsAnswer } from "../daemon/server/alarms-types.ts";
import { sentenceCase } from "./alarm-words.ts";

type Message = AlarmsAnswer["messages"][number];

export const messageKindWord: Readonly<Record<Message["kind"], string>> = {
  raised: "began",
  again: "lasts, unanswered",
  worse: "worse",
  over: "over",
  test: "test",
  proof: "monthly proof",
  unproven: "monthly proof failed",
  "in-vain": "note on a wrong number",
};

/** What became of a message, in plain words. */
export function messageOutcome(message: Message, clock: (time_s: number) => string): string {
  const { state, joinedTo, delivered_s, maybeSent, reason, sentBy, tries, due_s, next_s, sent_s } = message;
  const why = reason === null ? "" : `: ${reason}`;
  if (state === "sent") {
    const joined = joinedTo === null ? "" : ` with message ${joinedTo}`;
    const confirmed = delivered_s === null ? "handed over" : "delivered";
    return `${confirmed} ${clock(sent_s ?? due_s)} by ${sentBy}${joined}${maybeSent ? ", perhaps twice" : ""}`;
  }
  if (state === "sending") return "being sent";
  if (state === "expired") return `not sent in time${why}`;
  if (state === "called-off") return `not sent${why}`;
  if (state === "refused") return `not sent${why}`;
  if (tries === 0) return `due ${clock(due_s)}`;
  return `tried ${tries === 1 ? "once" : `${tries} times`}, again ${clock(next_s)}${why}`;
}

/** `High water began`, `Test`. */
export function messageTitle(
  { alarm, kind }: Message,
  alarms: readonly Pick<AlarmsAnswer["alarms"][number], "name" | "title">[],
): string {
  const title = alarms.find(({ name }) => name === alarm)?.title;
  return sentenceCase(`${title === undefined ? "" : sentenceCase(title)} ${messageKindWord[kind]}`.trim());
}

/** Within a day: given up, or failing for longer than a moment. */
export function isUndelivered({ state, tries, due_s }: Message, now_s: number): boolean {
  if (now_s - due_s > 86_400) return false;
  return state === "refused" || state === "expired" || (state === "waiting" && tries > 0 && now_s - due_s > 60);
}

/** A test that did not get through, by a way by which something has since, or that was tested again: that one tells. */
export function isOutdone({ id, alarm, contact, onlyBy }: Message, messages: readonly Message[]): boolean {
  if (alarm !== null) return false;
  const tells = (later: Message) => later.onlyBy === onlyBy || (later.state === "sent" && later.sentBy === onlyBy);
  return messages.some((later) => later.id > id && later.contact === contact && tells(later));
}

/** A reason that begins with a word, not with an address, as a sentence of its own does. */
export function asSentence(reason: string): string {
  return reason.replace(/^[a-z](?=[a-z]* )/, (letter) => letter.toUpperCase());
}

/** To be sent later, unless somebody answers or it is over. */
export function isPlanned({ state, tries, due_s }: Message, now_s: number): boolean {
  return state === "waiting" && tries === 0 && due_s > now_s;
}

/** @param planned the next one first */
export function plannedWord(planned: readonly Message[], clock: (time_s: number) => string): string {
  const [next] = planned;
  if (next === undefined) return "";
  const more = planned.length === 1 ? "" : `, and ${planned.length - 1} later`;
  return `Next, unless somebody answers: ${clock(next.due_s)}, to ${next.contact}${more}`;
}
