// What alarms, their states and priorities are called on the screen, and who sees to them. Pure.

import type { Priority } from "../analysis/alarms/alarm.ts";
import type { AlarmState } from "../analysis/alarms/alarm-state.ts";
import type { ActiveAlarm } from "../daemon/server/alarms-types.ts";
import { capital } from "./capital.ts";

export const alarmStateWord: Readonly<Record<AlarmState, string>> = {
  normal: "quiet",
  unacknowledged: "active, nobody has answered",
  acknowledged: "active, somebody is seeing to it",
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

/** Whether somebody is seeing to it. */
export function answeredWord({ state, to_s, acknowledgedBy }: ActiveAlarm): string {
  if (state === "latched-acknowledged") return "Over; reset it when all is well";
  if (acknowledgedBy !== null)
    return to_s === null ? `${acknowledgedBy} is seeing to it` : `${acknowledgedBy} has seen it`;
  return to_s === null ? "Nobody has answered yet" : "Over; nobody has answered";
}

/** What stands at the top of the alarms; what is put aside and is so now, too. */
export function alarmsSentence(active: readonly ActiveAlarm[]): string {
  const aside = active.filter(
    ({ state, to_s }) => to_s === null && (state === "shelved" || state === "out-of-service"),
  );
  if (aside.length === 0) return toldSentence(active);
  const so = aside.length === 1 ? "One is so now and put aside" : `${aside.length} are so now and put aside`;
  const told = active.filter((alarm) => !aside.includes(alarm));
  return told.some(({ to_s }) => to_s === null) ? `${toldSentence(told)} ${so}.` : `${so}: nobody is told.`;
}

function toldSentence(active: readonly ActiveAlarm[]): string {
  const unanswered = active.filter(({ state }) => state === "unacknowledged").length;
  const answered = active.filter(({ state }) => state === "acknowledged").length;
  if (unanswered > 0) {
    const rest = answered === 0 ? "" : `; ${answered} ${answered === 1 ? "is" : "are"} seen to`;
    return `${unanswered} ${unanswered === 1 ? "alarm waits" : "alarms wait"} for an answer${rest}.`;
  }
  if (answered > 0)
    return answered === 1 ? "One alarm, and somebody is seeing to it." : `${answered} alarms, all answered.`;
  return active.some(({ to_s }) => to_s !== null) ? "No alarm lasts; some wait to be looked at." : "No alarm lasts.";
}

/** Capitals are for text messages; a page has other means. */
export function sentenceCase(text: string): string {
  const plain = text === text.toUpperCase() ? text.toLowerCase() : text;
  return capital(plain);
}
