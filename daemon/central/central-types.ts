// What the central view's API says, as types: shared by its routes and its page. SI inside, unit in the name; times are
// Unix time by the central clock.

import type { AlarmName, Priority } from "../../analysis/alarms/alarm.ts";
import type { Tier } from "./urgency.ts";

/** One thing that is true of a basin. */
export interface Condition {
  /** A kind of the table in urgency.ts, or a finding's kind that a newer board knows. */
  readonly kind: string;
  readonly tier: Tier;
  readonly rank: number;
  /** Null: since when is not known. */
  readonly since_s: number | null;
  /** What to do, in the board's own words; null where the page has them. */
  readonly advice: string | null;
}

/** An alarm of a basin that lasts: its board calls people until somebody answers. */
export interface StandingAlarm {
  readonly name: string;
  readonly title: string;
  readonly priority: Priority;
  /** When it began, as its board says: names it in an answer. */
  readonly from_s: number;
  /** The same by the central clock. */
  readonly since_s: number;
  readonly acknowledgedBy: string | null;
  /** Who has answered from afar, while the board has not said yet that it knows. */
  readonly answeredBy: string | null;
}

/** An alarm that a person has put aside: nobody is told of it. */
export interface AlarmPutAside {
  readonly title: string;
  /** By the central clock; null: out of service until somebody puts it back. */
  readonly until_s: number | null;
  readonly by: string | null;
}

/** POST /basins/<name>/api/alarms/acknowledge: sees to an alarm of the basin, under the name of the log-in. */
export interface AcknowledgeRequest {
  readonly alarm: AlarmName;
  readonly from_s: number;
}

/** POST /basins/<name>/api/alarms/shelve: shelves an alarm of the basin, under the name of the log-in. */
export interface ShelveRequest {
  readonly alarm: AlarmName;
  /** For so long from now; null: off the shelf. */
  readonly for_s: number | null;
  readonly reason: string | null;
}

/** The answer to either, once the broker keeps it for the board. */
export interface AcknowledgeAnswer {
  readonly by: string;
}

/** GET /api/overview: one basin. What is null is not known, or not given. */
export interface OverviewRow {
  readonly name: string;
  readonly title: string;
  readonly group: string | null;
  readonly place: string | null;
  /** As the page calls the customer. */
  readonly customer: string | null;
  readonly contact: string | null;
  readonly serviceDue_s: number | null;
  /** False: a board publishes under this name, and the central view's file does not have it. */
  readonly enrolled: boolean;
  /** Its readings are not of a real basin. */
  readonly invented: boolean;
  /** All that is true, most urgent first; never empty. */
  readonly conditions: readonly Condition[];
  /** Most urgent first. */
  readonly alarms: readonly StandingAlarm[];
  readonly aside: readonly AlarmPutAside[];
  /** Whether its board takes answers from here. */
  readonly takesAnswers: boolean;
  /** Whether the board is, by what the broker says; null when it has said nothing of it. */
  readonly connected: boolean | null;
  /** By how much the board's clock, or its readings, are ahead of the central clock; null while that is no matter. */
  readonly clockOff_s: number | null;
}

/** Name, level in m to the millimetre, whether the pump runs: what moves while all stays as it is. */
export type Pulse = readonly [name: string, level_m: number | null, pumpRunning: boolean | null];

export interface OverviewAnswer {
  readonly view: { readonly name: string; readonly timezone: string };
  readonly version: string;
  readonly now_s: number;
  /** Since when the central view does not hear the broker, and why; null while it does. */
  readonly brokerLost: { readonly since_s: number; readonly reason: string } | null;
  readonly rows: readonly OverviewRow[];
  readonly pulses: readonly Pulse[];
}

/** GET /api/overview/events (server-sent): first `overview`, then what has changed since. */
export interface OverviewEvents {
  readonly overview: OverviewAnswer;
  readonly changes: OverviewChanges;
}

export interface OverviewChanges {
  readonly now_s: number;
  readonly brokerLost: OverviewAnswer["brokerLost"];
  readonly rows: readonly OverviewRow[];
  readonly pulses: readonly Pulse[];
}

/** GET /api/session; POST logs in, DELETE out. */
export interface SessionAnswer {
  readonly view: { readonly name: string };
  /** Null: nobody is logged in. */
  readonly login: {
    readonly name: string;
    /** Null: staff. */
    readonly customer: string | null;
    /** Whether it may answer and shelve alarms. */
    readonly answers: boolean;
  } | null;
  /** False: there are no log-ins here, only this machine reaches the page. */
  readonly required: boolean;
}

export interface LogInRequest {
  readonly name: string;
  readonly password: string;
}
