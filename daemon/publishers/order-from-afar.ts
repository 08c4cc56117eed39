// What comes from afar by the broker for one alarm, `<prefix>/<what>/<alarm>`: read at the door, with its alarm. Pure.

import type * as z from "zod";
import { type AlarmName, alarmNames } from "../../analysis/alarms/alarm.ts";

const largest_bytes = 1000;

/** @param topic below the board's prefix. @returns null for what is no such thing, and for one that was taken back */
export function readOrder<Schema extends z.ZodType<object>>(
  what: string,
  schema: Schema,
  topic: string,
  payload: Buffer,
): ({ readonly alarm: AlarmName } & z.output<Schema>) | null {
  const [first, name, ...more] = topic.split("/");
  const alarm = alarmNames.find((each) => each === name);
  if (first !== what || alarm === undefined || more.length > 0) return null;
  if (payload.length === 0 || payload.length > largest_bytes) return null;
  try {
    const read = schema.safeParse(JSON.parse(payload.toString("utf8"))).data;
    return read === undefined ? null : { alarm, ...read };
  } catch {
    return null; // no JSON
  }
}
