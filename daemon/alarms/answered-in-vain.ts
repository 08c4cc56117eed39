// What is written back to whoever answers with the number of no message that lasts, while something waits for an answer:
// they would take it for seen to, and so would everybody whom they tell. Pure.

import type { MessageRow, NewMessage } from "./outbox/message-row.ts";

const expires_s = 600;
/** Whoever errs more often reads no texts, or is a program. */
const mostInAnHour = 3;
const between_s = 30;

/**
 * @param by     the channel by which the answer came
 * @param said   the number in it
 * @param latest messages, among them those that were written back before
 */
export function answeredInVain(
  contact: string,
  by: string,
  said: number,
  latest: readonly MessageRow[],
  now_s: number,
): NewMessage[] {
  const before = latest.filter(
    ({ kind, contact: to, created_s }) =>
      kind === "in-vain" && to === contact && created_s > now_s - 3600 && created_s <= now_s,
  );
  if (before.length >= mostInAnHour || before.some(({ created_s }) => now_s - created_s < between_s)) return [];
  return [
    {
      key: `in-vain-${Math.round(now_s * 1000)}-${by}`,
      ...{ kind: "in-vain", alarm: null, occurrence: "", priority: "low", contact, onlyBy: by },
      ...{ due_s: now_s, expires_s: now_s + expires_s, from_s: null, to_s: null, facts: { said } },
    },
  ];
}
