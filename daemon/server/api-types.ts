// What the API says, as types: shared by the server's routes and the page. SI inside, unit in the name.

import type { InflowStretch, Situation } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { ReportSummary } from "../../analysis/report/report.ts";
import type { Site } from "../../analysis/site.ts";
import type { RainStretch } from "../../analysis/storms/rain.ts";
import type { Budget } from "../../analysis/uncertainty/budget.ts";
import type { ForwardHealth } from "../forward/health.ts";
import type { SourceHealth } from "../sources/source.ts";
import type { LevelSeries, Span, StoreHealth } from "../stores/store.ts";
import type { ActiveAlarm, AlarmAside, AlarmDeed, AlarmTrouble } from "./alarms-types.ts";

/** GET /api/site: what does not change while the daemon runs. */
export interface SiteInfo {
  readonly site: Site;
  /** The readings are not of a real basin: the page says so on every view. */
  readonly invented: boolean;
  /** `simulated` or `replay` when the time is not the present. */
  readonly playing: "simulated" | "replay" | null;
  readonly version: string;
  /** Which record it keeps, for commands on the same machine (`stores/record-key.ts`). */
  readonly record?: string;
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
  /** What is shelved or out of service: nobody is told of it. Absent where nobody is called. */
  readonly aside?: readonly AlarmAside[];
  /** Of one that is looked at from afar: who did what, whether alarms can be shelved from there, and what was asked in vain. */
  readonly fromAfar?: {
    readonly takesShelving: boolean;
    readonly done: readonly AlarmDeed[];
    readonly notTaken: readonly string[];
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
