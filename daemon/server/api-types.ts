// What the API says, as types: shared by the server's routes and the page. SI inside, unit in the name.

import type { AlarmDefinition, AlarmName, Priority } from "../../analysis/alarms/alarm.ts";
import type { AlarmChangeKind } from "../../analysis/alarms/alarm-book.ts";
import type { AlarmRecord } from "../../analysis/alarms/alarm-record.ts";
import type { AlarmState } from "../../analysis/alarms/alarm-state.ts";
import type { AlarmPerformance } from "../../analysis/alarms/performance.ts";
import type { InflowStretch, Situation } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { ReportSummary } from "../../analysis/report/report.ts";
import type { Site } from "../../analysis/site.ts";
import type { RainStretch } from "../../analysis/storms/rain.ts";
import type { Budget } from "../../analysis/uncertainty/budget.ts";
import type { CallAgain, CallStep, QuietHours } from "../alarms/alarms-config.ts";
import type { HeartbeatHealth } from "../alarms/heartbeat.ts";
import type { MessageRow } from "../alarms/outbox/message-row.ts";
import type { ServiceView } from "../alarms/service-book.ts";
import type { ForwardHealth } from "../forward/health.ts";
import type { SourceHealth } from "../sources/source.ts";
import type { LevelSeries, Span, StoreHealth } from "../stores/store.ts";

/** GET /api/site: what does not change while the daemon runs. */
export interface SiteInfo {
  readonly site: Site;
  /** The readings are not of a real basin: the page says so on every view. */
  readonly invented: boolean;
  /** `simulated` or `replay` when the time is not the present. */
  readonly playing: "simulated" | "replay" | null;
  readonly version: string;
  /** Address of the page of all basins, where the basin is looked at from there. */
  readonly overview?: string;
}

/** GET /api/state, and the `state` event: what is true now. */
export interface LiveState {
  readonly situation: Situation;
  readonly sources: readonly SourceHealth[];
  readonly store: StoreHealth;
  /** Time of the daemon, or of the simulation or recording that it plays. */
  readonly now_s: number;
  /** Seconds of the basin's time that pass in one; null for a real basin. */
  readonly speed: number | null;
  readonly maxSpeed: number | null;
  readonly span: Span | null;
  /** The wall clock has stepped by so much since the daemon started; times on the page keep the old count. */
  readonly wallStep_s: number;
  /** What is told to a broker: why nothing gets through, null while all is well. Null when nothing is published. */
  readonly publisher?: { readonly error: string | null } | null;
  /** Alarms that are active, or wait for somebody to say that he saw them; null or absent where nobody is called. */
  readonly alarms?: readonly ActiveAlarm[] | null;
  /** Of a basin that is looked at from afar: whether its board takes answers to alarms from there. */
  readonly takesAnswers?: boolean;
  /** Of one that is looked at from afar: what is put aside, who did what, and whether alarms can be shelved from there. */
  readonly fromAfar?: {
    readonly takesShelving: boolean;
    readonly aside: readonly AlarmAside[];
    readonly done: readonly AlarmDeed[];
  };
  /** Counts what has changed of alarms and messages since the start: GET /api/alarms then has another answer. */
  readonly alarmNews?: number | null;
  /** What keeps alarms from reaching people; null or absent where nobody is called. */
  readonly alarmTrouble?: AlarmTrouble | null;
  /** How far the record has been forwarded to a shared database; null or absent when it is not. */
  readonly forward?: ForwardHealth | null;
}

/** How the instruments do, as the broker is told: of LiveState what does not change with every reading. */
export type BasinHealth = Pick<LiveState, "sources" | "store" | "wallStep_s" | "span" | "forward">;

/** GET /api/level?from_s&to_s&points */
export type LevelAnswer = LevelSeries;

/** GET /api/cycles?from_s&to_s&limit, newest first. */
export interface CyclesAnswer {
  readonly cycles: readonly Cycle[];
}

/** GET /api/inflow?from_s&to_s&points */
export interface InflowAnswer {
  readonly stretches: readonly InflowStretch[];
}

/** GET /api/findings?from_s&to_s&limit, newest first. */
export interface FindingsAnswer {
  readonly findings: readonly Finding[];
}

/** GET /api/sizing: what was measured so far, as sizing reckons with it. */
export interface SizingInputs {
  /** The report so far without its cycles, as /api/summary. */
  readonly summary: ReportSummary;
  /** Of the whole record, oldest first. */
  readonly inflow: readonly InflowStretch[];
  /** The last ones, oldest first. */
  readonly cycles: readonly Cycle[];
}

/** GET /api/rain: of the whole record, oldest first; time that no stretch covers is not known. */
export interface RainAnswer {
  /** Null: no reading ever had rain, not even 0. */
  readonly stretches: readonly RainStretch[] | null;
}

/** GET /api/budget?started_at_s: of a cycle, or of what is true now. */
export interface BudgetAnswer {
  readonly inflow: Budget | null;
  readonly pumpRate: Budget | null;
}

/** PUT /api/speed, only where `speed` is not null. */
export interface SpeedRequest {
  readonly speed: number;
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
  readonly kind: AlarmChangeKind | "tested";
  /** Null of a test. */
  readonly alarm: AlarmName | null;
  readonly title: string | null;
  /** Null: nobody, or nobody has said who. */
  readonly by: string | null;
  /** `page`, `link` of a message, `afar` by the broker, or `channel` and its name; of a test the channels that it tried. */
  readonly via: string | null;
  /** Why, in that person's words. */
  readonly reason: string | null;
  /** Of shelving. */
  readonly until_s: number | null;
  /** Of a test: to whom. */
  readonly contact: string | null;
}

/** GET /api/phones, and the answer to what is done about one. */
export interface PhonesAnswer {
  /** What a browser needs to subscribe, in base64url; null where phones are not told. */
  readonly publicKey: string | null;
  /** Why not; null where they are. */
  readonly problem: string | null;
  /** Where the page is under https, as its owner says; null: not said. */
  readonly secureAddress: string | null;
  /** Who can be told by phones, and by which they are. */
  readonly people: readonly {
    readonly name: string;
    /** Name of the channel; null where it is nobody's any more. */
    readonly by: string | null;
    readonly phones: readonly PhoneShown[];
  }[];
}

export interface PhoneShown {
  readonly id: string;
  readonly name: string;
  readonly since_s: number;
  /** The push service last took something for it. */
  readonly took_s: number | null;
  /** It said itself that it showed something. */
  readonly shown_s: number | null;
  /** Since when it is told no more, and why. */
  readonly ended: { readonly at_s: number; readonly reason: string } | null;
  /** Why it was not reached last time; null: it was, or nothing was sent. */
  readonly problem: string | null;
}

/** POST /api/phones/shown: whether that phone was sent that message. */
export interface ShownAnswer {
  readonly known: boolean;
}

/** What the phone's service worker is given, encrypted. */
export interface PushNote {
  /** The same for each attempt at the same message: it is shown once. */
  readonly key: string;
  /** What is said of one thing replaces what was said of it before. */
  readonly tag: string;
  readonly title: string;
  readonly text: string;
  /** Where a tap leads; null: to the page. */
  readonly url: string | null;
  /** A tap on the button acknowledges at `url`. */
  readonly canAnswer: boolean;
  /** Stays on the screen until somebody looks. */
  readonly stays: boolean;
  /** Which of the phones this is, so that it can say that it showed it. */
  readonly phone: string;
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

/** Every error of the API. */
export interface ApiError {
  readonly error: string;
}

/** GET /api/events (server-sent): event name and its data. */
export interface LiveEvents {
  readonly state: LiveState;
  readonly cycle: Cycle;
  readonly finding: Finding;
}
