// An answer to an alarm that comes by the broker, `<prefix>/acknowledge/<alarm>`: how it is written and read. It names the
// alarm by when it began, so that one that the broker kept for a board that was away answers no later alarm.

import * as z from "zod";
import type { AlarmName } from "../../analysis/alarms/alarm.ts";
import { oneLine } from "../server/one-line.ts";
import { readOrder } from "./order-from-afar.ts";

export interface Acknowledgement {
  readonly alarm: AlarmName;
  /** When the alarm began that is answered, as the board tells it. */
  readonly from_s: number;
  /** Who answers. */
  readonly by: string;
}

/** Topic below the board's prefix under which they come. */
export const acknowledgeTopic = "acknowledge";

const text = z.object({ from_s: z.number(), by: z.string().overwrite(oneLine).min(1).max(60) });

export function acknowledgementText({ from_s, by }: Pick<Acknowledgement, "from_s" | "by">): string {
  return JSON.stringify({ from_s, by });
}

/** @param topic below the board's prefix. @returns null for what is no answer, and for one that was taken back */
export function readAcknowledgement(topic: string, payload: Buffer): Acknowledgement | null {
  return readOrder(acknowledgeTopic, text, topic, payload);
}
