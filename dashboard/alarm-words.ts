// What states, priorities and messages of alarms are called on the screen.

import type { Priority } from "../analysis/alarms/alarm.ts";
import type { AlarmState } from "../analysis/alarms/alarm-state.ts";
import { acceptablePerDay, mostIn10min } from "../analysis/alarms/performance.ts";
import type { AlarmsAnswer } from "../daemon/server/api-types.ts";

export const alarmStateWord: Readonly<Record<AlarmState, string>> = {
  normal: "quiet",
  unacknowledged: "active, nobody has answered",
  acknowledged: "active, somebody sees to it",
  "returned-to-normal-unacknowledged": "over, nobody has answered",
  "latched-unacknowledged": "over, nobody has looked",
  "latched-acknowledged": "over, to be reset",
  shelved: "shelved",
  "suppressed-by-design": "said by its cause",
  "out-of-service": "out of service",
};

export const priorityWord: Readonly<Record<Priority, string>> = {
  high: "high priority",
  medium: "medium priority",
  low: "low priority",
};

type Message = AlarmsAnswer["messages"][number];

export const messageKindWord: Readonly<Record<Message["kind"], string>> = {
  raised: "began",
  again: "lasts, unanswered",
  worse: "worse",
  over: "over",
  test: "test",
  proof: "monthly proof",
  unproven: "monthly proof failed",
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
  return tries === 0 ? `due ${clock(due_s)}` : `tried ${tries} times, again ${clock(next_s)}${why}`;
}

/** The figures of alarm management, each with the mark that it is held to. */
export function performanceLines({ performance, alarms }: AlarmsAnswer) {
  const share = (part: number) => `${Number((part * 100).toPrecision(2))} %`;
  const { count, perDay, shareInFlood, mostFrequent, chattering, split } = performance;
  const [first] = mostFrequent;
  const titleOf = (name: string) => sentenceCase(alarms.find((alarm) => alarm.name === name)?.title ?? name);
  return [
    {
      label: "Announced",
      value: `${count}, ${Number(perDay.toPrecision(2))} a day`,
      mark: `up to ${acceptablePerDay} a day`,
    },
    { label: "Most in ten minutes", value: String(performance.mostIn10min), mark: `at most ${mostIn10min}` },
    { label: "Time in a flood", value: share(shareInFlood), mark: "under 1 %" },
    {
      label: "Most frequent",
      value: first === undefined ? "none" : `${titleOf(first.alarm)}, ${share(first.share)}`,
      mark: "ten together 1 to 5 % in a plant; a house has few alarms in all",
    },
    { label: "Chattering", value: chattering.length === 0 ? "none" : chattering.map(titleOf).join(", "), mark: "none" },
    { label: "Stale", value: String(alarms.filter(({ stale }) => stale).length), mark: "fewer than 5 on any day" },
    {
      label: "High, medium, low",
      value: count === 0 ? "none" : `${share(split.high)}, ${share(split.medium)}, ${share(split.low)}`,
      mark: "about 5, 15, 80 %",
    },
  ];
}

/** Capitals are for text messages; a page has other means. */
export function sentenceCase(text: string): string {
  const plain = text === text.toUpperCase() ? text.toLowerCase() : text;
  return plain.replace(/^./, (letter) => letter.toUpperCase());
}
