// What states, priorities and messages of alarms are called on the screen.

import type { Priority } from "../analysis/alarms/alarm.ts";
import type { AlarmState } from "../analysis/alarms/alarm-state.ts";
import { marks } from "../analysis/alarms/performance.ts";
import type { ActiveAlarm, AlarmsAnswer, AlarmTrouble } from "../daemon/server/api-types.ts";
import { capital } from "./capital.ts";
import { roughDuration } from "./format.ts";

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

/** Whether somebody sees to it. */
export function answeredWord({ state, to_s, acknowledgedBy }: ActiveAlarm): string {
  if (state === "latched-acknowledged") return "Over; reset it when all is well";
  if (acknowledgedBy !== null) return to_s === null ? `${acknowledgedBy} sees to it` : `${acknowledgedBy} has seen it`;
  return to_s === null ? "Nobody has answered yet" : "Over; nobody has answered";
}

/** What stands at the top of the alarms. */
export function alarmsSentence(active: readonly ActiveAlarm[]): string {
  const unanswered = active.filter(({ state }) => state === "unacknowledged").length;
  const answered = active.filter(({ state }) => state === "acknowledged").length;
  if (unanswered > 0) {
    const rest = answered === 0 ? "" : `; ${answered} ${answered === 1 ? "is" : "are"} seen to`;
    return `${unanswered} ${unanswered === 1 ? "alarm waits" : "alarms wait"} for an answer${rest}.`;
  }
  if (answered > 0) return answered === 1 ? "One alarm, and somebody sees to it." : `${answered} alarms, all answered.`;
  return active.some(({ to_s }) => to_s !== null) ? "No alarm lasts; some wait to be looked at." : "No alarm lasts.";
}

/** When somebody is called. */
export function stepWord(call: AlarmsAnswer["call"], contact: string): string {
  const step = call.find(({ contacts }) => contacts.includes(contact));
  if (step === undefined) return "never";
  return step.after_s === 0 ? "at once" : `after ${roughDuration(step.after_s)}, unless somebody has answered`;
}

/** After the last step: each pause is twice the one before. */
export function againWord({ after_s, times }: AlarmsAnswer["callAgain"]): string {
  if (times === 0) return "Nobody is called a second time.";
  const rounds = times === 1 ? "once" : `${times} times`;
  const first = roughDuration(after_s);
  const pauses = times === 1 ? `after ${first}` : `the first time after ${first}, then after twice as long each time`;
  return `While nobody answers what is of high priority, the calls go round again ${rounds}: ${pauses}.`;
}

/** README's advice: every half year, and after each change. */
const provenFor_s = 183 * 86_400;

export function provenWord(
  proven_s: number | null,
  now_s: number,
  clock: (time_s: number) => string,
): { readonly words: string; readonly isGood: boolean } {
  if (proven_s === null) return { words: "Never proven: send a test", isGood: false };
  const age_s = now_s - proven_s;
  if (age_s > provenFor_s) {
    return { words: `Last proven ${roughDuration(age_s)} ago: send a test again`, isGood: false };
  }
  const when = age_s < 86_400 ? clock(proven_s) : `${clock(proven_s)}, ${roughDuration(age_s)} ago`;
  return { words: `Last proven ${when}`, isGood: true };
}

export function heartbeatWord(heartbeat: AlarmsAnswer["heartbeat"], clock: (time_s: number) => string): string {
  if (heartbeat === null) {
    return "Nothing outside is told that the board lives: the site file names no heartbeat. If the board dies, it dies silently.";
  }
  const { host, every_s, answered_s } = heartbeat;
  const last = answered_s === null ? "it has not answered since the start" : `it last answered ${clock(answered_s)}`;
  return `${host} is told every ${roughDuration(every_s)} that the board lives, and raises the alarm when it is not; ${last}.`;
}

/** What keeps alarms from people, a sentence each, most serious first. */
export function troubleLines(trouble: AlarmTrouble): string[] {
  const { unreached, channels, undelivered, cardProblem, heartbeatProblem } = trouble;
  return [
    ...(unreached.length === 0 ? [] : [`No channel reaches ${unreached.join(" and ")} now.`]),
    ...channels.map(({ name, problem }) => `${name}: ${problem}.`),
    ...(undelivered === 0
      ? []
      : [`${undelivered} ${undelivered === 1 ? "message" : "messages"} of the last day did not get through.`]),
    ...(cardProblem === null
      ? []
      : [`Messages are kept in memory alone; a power cut would lose those that have not been sent: ${cardProblem}.`]),
    ...(heartbeatProblem === null
      ? []
      : [`The address that watches whether the board lives does not hear it: ${heartbeatProblem}.`]),
  ].map((line) => line.replace(/\.\.$/, "."));
}

/** `22:00`, of minutes after midnight. */
export function clockOfDay(minutes: number): string {
  return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}

/** The figures of alarm management, each with the mark that it is held to; performance.md has a section for each. */
export function performanceLines({ performance, alarms }: AlarmsAnswer) {
  const short = (value: number) => String(Number(value.toPrecision(2)));
  const share = (part: number) => `${short(part * 100)} %`;
  const { count, perDay, per10min, mostFrequent, chattering, mostStale, split } = performance;
  const [first] = mostFrequent;
  const titleOf = (name: string) => sentenceCase(alarms.find((alarm) => alarm.name === name)?.title ?? name);
  return [
    {
      label: "Announced",
      value: `${count}, ${short(perDay)} a day`,
      mark: `up to ${marks.perDay.acceptable} a day`,
    },
    {
      label: "In ten minutes, on average",
      value: per10min > 0 && per10min < 0.01 ? "under 0.01" : short(per10min),
      mark: `about ${marks.per10min.acceptable}`,
    },
    { label: "Most in ten minutes", value: String(performance.mostIn10min), mark: `at most ${marks.mostIn10min}` },
    {
      label: "Ten minutes with more than ten",
      value: share(performance.shareOver10),
      mark: `under ${share(marks.shareOver10)} of all`,
    },
    {
      label: "Time in a flood",
      value: share(performance.shareInFlood),
      mark: `under ${share(marks.shareInFlood)}`,
    },
    {
      label: "Most frequent",
      value: first === undefined ? "none" : `${titleOf(first.alarm)}, ${share(first.share)}`,
      mark: "ten together 1 to 5 % in a plant; a house has few alarms in all",
    },
    { label: "Chattering", value: chattering.length === 0 ? "none" : chattering.map(titleOf).join(", "), mark: "none" },
    { label: "Stale", value: String(mostStale), mark: `fewer than ${marks.stale} on any day` },
    {
      label: "High, medium, low",
      value: count === 0 ? "none" : `${share(split.high)}, ${share(split.medium)}, ${share(split.low)}`,
      mark: `about ${Object.values(marks.split)
        .map((part) => short(part * 100))
        .join(", ")} %`,
    },
  ];
}

/** Capitals are for text messages; a page has other means. */
export function sentenceCase(text: string): string {
  const plain = text === text.toUpperCase() ? text.toLowerCase() : text;
  return capital(plain);
}
