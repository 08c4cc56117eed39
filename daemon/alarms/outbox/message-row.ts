// What the outbox keeps of a message.

import type { AlarmFacts, AlarmName, Priority } from "../../../analysis/alarms/alarm.ts";
import { flatRecord, number, numberOrNull, oneOf, type Row, text, textOrNull } from "./row.ts";

/**
 * `waiting`: to be sent when it is due; `sending`: an attempt was begun and its end is not known (yet); `sent`: handed over
 * or delivered; `expired`, `called-off` (acknowledged, or over before it was sent): never sent; `refused`: no way is left.
 */
export type MessageState = (typeof messageStates)[number];
const messageStates = ["waiting", "sending", "sent", "expired", "called-off", "refused"] as const;

/**
 * `again`: it lasts, and nobody has answered the first calls. `unproven`: a monthly proof did not get through. `in-vain`: an
 * answer belonged to nothing.
 */
export type MessageKind = (typeof messageKinds)[number];
const ofAlarms = ["raised", "again", "worse", "over"] as const;
export const messageKinds = [...ofAlarms, "test", "proof", "unproven", "in-vain"] as const;
export type AlarmMessageKind = (typeof ofAlarms)[number];

/** It tells of an alarm; the others of the ways to tell of one. */
export function isOfAlarm(kind: unknown): kind is AlarmMessageKind {
  return ofAlarms.some((each) => each === kind);
}

export interface NewMessage {
  /** The same message has the same key: a second one with it is left out. */
  readonly key: string;
  readonly kind: MessageKind;
  /** Null of what tells of no alarm. */
  readonly alarm: AlarmName | null;
  /** Key of the alarm's occurrence; empty without one. */
  readonly occurrence: string;
  readonly priority: Priority;
  /** Name of the contact. */
  readonly contact: string;
  /** The one way to be tried; null: all in their order. */
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
  /** Need not be told any more; one that is under way is then not tried again. */
  readonly calledOff: boolean;
}

/** What changes of a message on its way. */
export type MessageChange = Partial<
  Omit<MessageRow, keyof NewMessage | "id" | "origin" | "created_s"> &
    Pick<MessageRow, "due_s" | "expires_s" | "created_s">
>;

const priorities = ["high", "medium", "low"] as const;

/** @throws {TypeError} for what is no message of this version or of one before */
export function readMessage(row: Row): MessageRow {
  return {
    id: number(row, "id"),
    origin: text(row, "origin"),
    key: text(row, "key"),
    kind: oneOf(row, "kind", messageKinds),
    alarm: alarmOrNull(row),
    occurrence: text(row, "occurrence"),
    priority: readPriority(row),
    contact: text(row, "contact"),
    onlyBy: textOrNull(row, "onlyBy"),
    due_s: number(row, "due_s"),
    expires_s: number(row, "expires_s"),
    from_s: numberOrNull(row, "from_s"),
    to_s: numberOrNull(row, "to_s"),
    facts: flatRecord(row, "facts"),
    created_s: number(row, "created_s"),
    state: oneOf(row, "state", messageStates),
    way: number(row, "way"),
    tries: number(row, "tries"),
    next_s: number(row, "next_s"),
    maybeSent: number(row, "maybeSent") === 1,
    joinedTo: numberOrNull(row, "joinedTo"),
    sent_s: numberOrNull(row, "sent_s"),
    sentBy: textOrNull(row, "sentBy"),
    delivered_s: numberOrNull(row, "delivered_s"),
    reason: textOrNull(row, "reason"),
    calledOff: number(row, "calledOff") === 1,
  };
}

/** In the order of `plainMessage`. */
export const messageColumns = [
  ...(["id", "origin", "key", "kind", "alarm", "occurrence", "priority", "contact", "onlyBy", "due_s"] as const),
  ...(["expires_s", "from_s", "to_s", "facts", "created_s", "state", "way", "tries", "next_s", "maybeSent"] as const),
  ...(["joinedTo", "sent_s", "sentBy", "delivered_s", "reason", "calledOff"] as const),
] as const satisfies readonly (keyof MessageRow)[];

/** As its columns keep it. */
export function plainMessage(message: MessageRow): (string | number | null)[] {
  return messageColumns.map((name) => {
    const value = message[name];
    if (typeof value === "boolean") return Number(value);
    return typeof value === "object" && value !== null ? JSON.stringify(value) : value;
  });
}

export function readPriority(row: Row): Priority {
  return oneOf(row, "priority", priorities);
}

/** Also of one that another version had: that is found out later, and is no fault of the file. */
export function alarmOrNull(row: Row): AlarmName | null {
  return textOrNull(row, "alarm") as AlarmName | null;
}
