// An alarm that is shelved, or taken off the shelf, by the broker, `<prefix>/shelve/<alarm>`: how it is written and read. It
// says until when, so that one that the broker kept for a board that was away shelves nothing for longer than was meant.

import * as z from "zod";
import type { AlarmName } from "../../analysis/alarms/alarm.ts";
import { oneLine } from "../server/one-line.ts";
import { readOrder } from "./order-from-afar.ts";

export interface Shelving {
  readonly alarm: AlarmName;
  /** Null: off the shelf. */
  readonly until_s: number | null;
  readonly by: string;
  /** Why, in that person's words; null: nothing was said. */
  readonly reason: string | null;
}

/** Topic below the board's prefix under which they come. */
export const shelveTopic = "shelve";

const text = z.object({
  until_s: z.number().nullable(),
  by: z.string().overwrite(oneLine).min(1).max(60),
  reason: z.string().overwrite(oneLine).max(120).nullable().default(null),
});

export function shelvingText({ until_s, by, reason }: Omit<Shelving, "alarm">): string {
  return JSON.stringify({ until_s, by, reason });
}

/** @param topic below the board's prefix. @returns null for what is none, and for one that was taken back */
export function readShelving(topic: string, payload: Buffer): Shelving | null {
  return readOrder(shelveTopic, text, topic, payload);
}
