// What sizing is worked out from: the site, and what was measured there, by a logger or by hand.

import type { InflowStretch } from "../analyzer.ts";
import type { FlowEstimate } from "../cycles/cycle.ts";
import type { ReportSummary } from "../report/report.ts";
import type { Site } from "../site.ts";
import type { RainStretch } from "../storms/rain.ts";
import type { WatchedRise } from "./hand-test.ts";
import type { StormDemand } from "./storm-demand.ts";

export interface SizingRequest {
  readonly site: Site;
  /** Null: no logger was there. */
  readonly logged: LoggedRecord | null;
  /** Null: no hand test was made. */
  readonly hand: HandTestGiven | null;
  /**
   * What `stormDemand` gave for the same record and the same `design`, by whoever asks again and again while other figures
   * are tried out: it takes most of the time. Absent: it is worked out here.
   */
  readonly storm?: StormDemand | null;
}

export interface LoggedRecord {
  readonly summary: ReportSummary;
  /** What the pump moves, with all that makes it uncertain; null or absent: as the summary has it. */
  readonly pumpRate?: FlowEstimate | null;
  /** In order of time; empty where only the summary is at hand, and then storms and battery go by its peaks. */
  readonly inflow: readonly InflowStretch[];
  /** Null: not known. */
  readonly rain: readonly RainStretch[] | null;
  /** What the motor drew while it ran, on the average; null: not read. */
  readonly runningPower_w: number | null;
  /** Where the float of the pump on duty really trips, on the average; null or absent: no level was read. */
  readonly trips?: { readonly start_m: number; readonly stop_m: number } | null;
  /** How the inflow goes with the level in the basin; null: not known. */
  readonly inflowPerLevel: InflowPerLevel | null;
}

/** Change of the inflow for a metre more of water, as a share of the inflow: −0.5 is half as much. */
export interface InflowPerLevel {
  readonly share_1m: number;
  readonly uShare_1m: number;
}

export interface HandTestGiven {
  readonly rises: readonly WatchedRise[];
  /** Null: as usual. */
  readonly uRuler_m: number | null;
  readonly uWatch_s: number | null;
  readonly wanted: number | null;
}
