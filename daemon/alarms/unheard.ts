// Whether nobody hears of an alarm that was announced: its messages wait for the end of quiet hours, none is sent of it, or
// none gets through.

import { type AlarmRecord, occurrenceKey } from "../../analysis/alarms/alarm-record.ts";
import type { Outbox } from "./outbox/outbox.ts";

/** By then what has begun together is sent. */
const soon_s = 60;

/** Of whom nobody is told there is nobody who could be told of something else instead. */
export function isUnheard(
  alarm: AlarmRecord,
  outbox: Pick<Outbox, "toldOf" | "waiting">,
  contacts: number,
  now_s: number,
): boolean {
  if (contacts === 0 || alarm.acknowledged !== null) return false;
  const occurrence = occurrenceKey(alarm);
  if (outbox.toldOf(occurrence, now_s).length > 0) return false;
  return !outbox.waiting().some((row) => row.occurrence === occurrence && row.next_s <= now_s + soon_s);
}
