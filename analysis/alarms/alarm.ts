// What an alarm is: its definition, which stands in the table, and what the table's conditions are told.

import type { Situation } from "../analyzer.ts";
import type { Evidence } from "../findings/finding.ts";
import type { Site } from "../site.ts";
import type { AlarmRecord } from "./alarm-record.ts";
import type { TimeToFloor } from "./time-to-floor.ts";

export const alarmNames = [
  "high-water",
  "pump-does-not-start",
  "one-pump-out",
  "pump-does-not-stop",
  "pump-does-not-keep-up",
  "supply-lost",
  "sensor-lost",
  "high-mark-off",
  "discharge-obstructed",
  "watch-interrupted",
  "much-for-dry-weather",
  "nothing-pumped",
  "pump-weaker",
  "sensor-reads-off",
  "water-runs-back",
  "starts-too-often",
  "pump-too-small",
  "board-battery-low",
  "service-due",
] as const;

export type AlarmName = (typeof alarmNames)[number];

/** Three, as the standard advises; `high` goes through quiet hours. */
export type Priority = "high" | "medium" | "low";

/** The figures that a message may speak of; keys carry their SI unit. */
export type AlarmFacts = Evidence;

/** What is true now, from the analysis and from the daemon's own care. */
export interface AlarmInput {
  readonly time_s: number;
  readonly site: Site;
  readonly situation: Situation;
  readonly toFloor: TimeToFloor | null;
  readonly care: Care;
  /** Whether nobody has heard of an alarm that was announced, nor will soon; absent: everybody hears at once. */
  unheard?(alarm: AlarmRecord): boolean;
}

/** What the daemon knows of itself and of the house beside the readings. Null or absent: not known. */
export interface Care {
  /** Since when no source has said anything; null while one does; undefined: too early to say. */
  readonly silentSince_s: number | null | undefined;
  /** The last time that nothing was watched, until it is acknowledged: from the last reading before to the first after. */
  readonly interrupted: { readonly from_s: number; readonly to_s: number } | null;
  readonly serviceDue_s: number | null;
  /** Charge of the board's own battery, 0 to 1, and whether it is being drawn on. */
  readonly boardBattery: { readonly share: number; readonly discharging: boolean; readonly since_s: number } | null;
  readonly lastRun_s: number | null;
  /** A pause between runs that is longer than this is unusual for this house. */
  readonly unusualPause_s: number | null;
  /** Since when the day's water is unusual without rain; null while it is not. */
  readonly muchWhileDry: {
    readonly since_s: number;
    readonly inflowDay_m3: number;
    readonly usualDay_m3: number;
  } | null;
}

export interface AlarmDefinition {
  readonly name: AlarmName;
  /** In a message; in capitals what cannot wait. */
  readonly title: string;
  /** How its end is told, where that reads better than `over: ` and the title. */
  readonly overTitle?: string;
  /** What to do first, short enough for a text message beside everything else. */
  readonly firstThing: string;
  readonly priority: Priority;
  /** Why it has that priority: what follows, and how long there is. */
  readonly rationale: string;
  readonly cause: string;
  readonly consequence: string;
  /** What to do, for the page and for messages with room. */
  readonly whatToDo: string;
  /** Time in which something can still be done about it. */
  readonly respondWithin_s: number;
  readonly onDelay_s: number;
  readonly offDelay_s: number;
  /** Stays until a person has looked, although it is over. */
  readonly latching: boolean;
  /** While one of these is active, this one is its consequence and is not announced: suppressed by design. */
  readonly saidBy: readonly AlarmName[];
  /**
   * Since when the condition has held; null: it does not; undefined: nobody can say, and what was so stays.
   * @param before_s what it said last
   */
  since(input: AlarmInput, before_s: number | null): number | null | undefined;
  /** Since when the cause is over, although the condition still waits to be sure of it; null or absent: it is not. */
  ceased?(input: AlarmInput): number | null;
  facts(input: AlarmInput): AlarmFacts;
  /** Whether it is so much worse than was told that it is worth another message. */
  worse?(told: AlarmFacts, now: AlarmFacts): boolean;
}
