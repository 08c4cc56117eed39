// What the outbox keeps of a message.

import * as z from "zod";
import type { AlarmFacts, AlarmName, Priority } from "../../../analysis/alarms/alarm.ts";

/**
 * `waiting`: to be sent when it is due; `sending`: an attempt was begun and its end is not known (yet); `sent`: handed over
 * or delivered; `expired`, `called-off` (acknowledged, or over before it was sent): never sent; `refused`: no way is left.
 */
export type MessageState = z.output<typeof state>;
const state = z.enum(["waiting", "sending", "sent", "expired", "called-off", "refused"]);

/** `again`: it lasts, and nobody has answered the first calls. `unproven`: a monthly proof did not get through. */
export type MessageKind = z.output<typeof messageKind>;
export const messageKind = z.enum(["raised", "again", "worse", "over", "test", "proof", "unproven"]);

export interface NewMessage {
  /** The same message has the same key: a second one with it is left out. */
  readonly key: string;
  readonly kind: MessageKind;
  /** Null of a test or proof. */
  readonly alarm: AlarmName | null;
  /** Key of the alarm's occurrence; empty of a test or proof. */
  readonly occurrence: string;
  readonly priority: Priority;
  /** Name of the contact. */
  readonly contact: string;
  /** Of a test: the one way to be tried; null: all in their order. */
  readonly onlyBy: string | null;
  readonly due_s: number;
  readonly expires_s: number;
  readonly from_s: number | null;
  readonly to_s: number | null;
  readonly facts: AlarmFacts;
}

export interface MessageRow extends NewMessage {
  /** Number of the message: what a reply `OK 17` names. */
  readonly id: number;
  /** The outbox that has numbered it: with the number, it names this message and no other. */
  readonly origin: string;
  readonly created_s: number;
  readonly state: MessageState;
  /** Which of the contact's ways is tried next. */
  readonly way: number;
  readonly tries: number;
  /** Not before. */
  readonly next_s: number;
  /** An attempt's end is not known: it may have been sent. */
  readonly maybeSent: boolean;
  /** The message that it was joined to. */
  readonly joinedTo: number | null;
  readonly sent_s: number | null;
  /** By which channel it was sent. */
  readonly sentBy: string | null;
  readonly delivered_s: number | null;
  /** Why the last attempt failed, or what became of it. */
  readonly reason: string | null;
}

/** Also of one that another version had: that is found out later, and is no fault of the file. */
export const nameOfAlarm = z.custom<AlarmName>((value) => typeof value === "string");

export const priority = z.enum(["high", "medium", "low"]) satisfies z.ZodType<Priority>;

/** A row of the file, of this version or of one before. */
const messageRow = z.object({
  key: z.string(),
  kind: messageKind,
  alarm: nameOfAlarm.nullable(),
  occurrence: z.string(),
  priority,
  contact: z.string(),
  onlyBy: z.string().nullable(),
  due_s: z.number(),
  expires_s: z.number(),
  from_s: z.number().nullable(),
  to_s: z.number().nullable(),
  facts: z
    .string()
    .transform((text, context): unknown => {
      try {
        return JSON.parse(text);
      } catch {
        context.addIssue("expected JSON");
        return z.NEVER;
      }
    })
    .pipe(z.record(z.string(), z.union([z.number(), z.string(), z.boolean(), z.null()]))),
  id: z.number(),
  origin: z.string(),
  created_s: z.number(),
  state,
  way: z.number(),
  tries: z.number(),
  next_s: z.number(),
  maybeSent: z.number().transform((each) => each === 1),
  joinedTo: z.number().nullable(),
  sent_s: z.number().nullable(),
  sentBy: z.string().nullable(),
  delivered_s: z.number().nullable(),
  reason: z.string().nullable(),
});

export function readMessage(row: unknown): MessageRow {
  return messageRow.parse(row);
}

export function isMessageRow(row: unknown): boolean {
  return messageRow.safeParse(row).success;
}
