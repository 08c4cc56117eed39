// Who is called and when, whether that was proven, and what keeps alarms from people. Pure.

import type { AlarmsAnswer, AlarmTrouble } from "../daemon/server/alarms-types.ts";
import { roughDuration } from "./format.ts";

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
