// What the API says of alarms, as types: shared by the server's routes and the page.

import type { AlarmDefinition, AlarmName, Priority } from "../../analysis/alarms/alarm.ts";
import type { AlarmRecord } from "../../analysis/alarms/alarm-record.ts";
import type { AlarmState } from "../../analysis/alarms/alarm-state.ts";
import type { AlarmPerformance } from "../../analysis/alarms/performance.ts";
import type { CallAgain, CallStep, QuietHours } from "../alarms/alarms-config.ts";
import type { HeartbeatHealth } from "../alarms/heartbeat.ts";
import type { JournalEntry } from "../alarms/outbox/journal-entry.ts";
import type { MessageRow } from "../alarms/outbox/message-row.ts";
import type { ServiceView } from "../alarms/service-book.ts";

/** GET /api/alarms, and the answer to what is done about one. */
export interface AlarmsAnswer {
  readonly now_s: number;
  /** Every alarm there is. */
  readonly alarms: readonly (Pick<AlarmDefinition, ShownOfDefinition> &
    Pick<AlarmRecord, "from_s" | "to_s" | "acknowledged" | "shelvedUntil_s" | "shelved" | "takenOut"> & {
      readonly state: AlarmState;
      /** So long at most may it be shelved. */
      readonly longestShelf_s: number;
      /** Whether people are told of it. */
      readonly told: boolean;
      readonly chattering: boolean;
      readonly stale: boolean;
      /** What became of it in the last 30 days, newest first: the latest few. */
      readonly history: readonly AlarmDeed[];
    })[];
  readonly contacts: readonly {
    readonly name: string;
    readonly quiet: QuietHours | null;
    readonly ways: readonly {
      readonly by: string;
      /** Shortened. */
      readonly to: string;
      readonly proven_s: number | null;
      /** The last test or proof, where it did not get through and nothing has since. */
      readonly failed: { readonly at_s: number; readonly reason: string | null } | null;
      readonly problem: string | null;
      readonly note: string | null;
    }[];
  }[];
  readonly call: readonly CallStep[];
  /** What is of high priority and unanswered goes round again. */
  readonly callAgain: CallAgain;
  /** Why messages cannot be kept on the card; null while they are. */
  readonly cardProblem: string | null;
  /** What is told that the board lives, how often, since when it is not heard and why; null where nothing is. */
  readonly heartbeat: HeartbeatHealth | null;
  /** Newest first. */
  readonly messages: readonly Pick<MessageRow, ShownOfMessage>[];
  /** When basin and pump were last serviced, and are again due. */
  readonly service: ServiceView;
  /** What is shelved or out of service. */
  readonly aside: readonly AlarmAside[];
  /** What people did in the last 30 days, newest first. */
  readonly done: readonly AlarmDeed[];
  /** Of the last 30 days. */
  readonly performance: AlarmPerformance;
}

/** An alarm that a person has shelved or taken out of service. */
export interface AlarmAside {
  readonly name: AlarmName;
  readonly title: string;
  /** Of one that is shelved; null: out of service until somebody puts it back. */
  readonly until_s: number | null;
  readonly since_s: number | null;
  readonly by: string | null;
  readonly reason: string | null;
}

/** Something that was done about an alarm, or that it did by itself. */
export interface AlarmDeed {
  readonly at_s: number;
  readonly kind: JournalEntry["kind"] | "tested";
  /** Null of a test. */
  readonly alarm: AlarmName | null;
  readonly title: string | null;
  /** Null: nobody, or nobody has said who. */
  readonly by: string | null;
  /** `page`, `link` of a message, `afar` by the broker, or `channel` and its name; of a test the channels that it tried. */
  readonly via: string | null;
  /** Why, in that person's words; of a service its day. */
  readonly reason: string | null;
  /** Of shelving. */
  readonly until_s: number | null;
  /** Of a test: to whom. */
  readonly contact: string | null;
}

/** An alarm that is true now, or waits to be acknowledged; most urgent first. */
export interface ActiveAlarm {
  readonly name: AlarmName;
  readonly title: string;
  readonly priority: Priority;
  readonly whatToDo: string;
  readonly state: AlarmState;
  readonly from_s: number;
  /** Null while it lasts. */
  readonly to_s: number | null;
  readonly acknowledgedBy: string | null;
}

/** Why somebody might not be told; nothing of it is so while all is well. */
export interface AlarmTrouble {
  /** Contacts whom no channel reaches now. */
  readonly unreached: readonly string[];
  /** Channels that have a problem, in words. */
  readonly channels: readonly { readonly name: string; readonly problem: string }[];
  /** Messages about alarms, of the last day, that were given up or keep failing. */
  readonly undelivered: number;
  readonly cardProblem: string | null;
  readonly heartbeatProblem: string | null;
}

type ShownOfDefinition =
  | "name"
  | "title"
  | "priority"
  | "rationale"
  | "cause"
  | "consequence"
  | "whatToDo"
  | "respondWithin_s"
  | "onDelay_s"
  | "offDelay_s"
  | "latching";

type ShownOfMessage =
  | "id"
  | "kind"
  | "alarm"
  | "contact"
  | "onlyBy"
  | "priority"
  | "state"
  | "due_s"
  | "next_s"
  | "sent_s"
  | "sentBy"
  | "delivered_s"
  | "tries"
  | "maybeSent"
  | "joinedTo"
  | "reason";
