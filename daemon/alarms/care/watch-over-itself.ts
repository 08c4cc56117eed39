// What the alarms are told beside the readings: silence, a time in which nothing was watched, the service that is due, the
// board's battery, and what is unusual for this house.

import type { Care } from "../../../analysis/alarms/alarm.ts";
import type { Situation } from "../../../analysis/analyzer.ts";
import type { SourceHealth } from "../../sources/source.ts";
import type { AlarmsConfig } from "../alarms-config.ts";
import { type BatteryCharge, createBatteryWatch, readBattery } from "./board-battery.ts";
import { createDrySpell } from "./dry-spell.ts";
import { type HouseHabits, type HouseRecord, houseHabits } from "./house-habits.ts";
import { createSilenceWatch } from "./silence.ts";

export interface CareParts {
  readonly config: Pick<AlarmsConfig, "unusualPause_s" | "boardBattery">;
  readonly store: HouseRecord;
  sources(): readonly SourceHealth[];
  readonly now_s: () => number;
  /** Time of the newest reading on record at the start; null of a new record. */
  readonly recordEnd_s: number | null;
  /** Times of the newest readings on record at the start, oldest first. */
  readonly latestReadings_s?: readonly number[];
  /** When the daemon last said that it lives; null: never. */
  readonly lastAlive_s?: number | null;
  /** Keeps that it lives now. */
  keepAlive?(now_s: number): void;
  /** Null: no service is known of. */
  serviceDue_s(): number | null;
  /** For tests. */
  readonly battery?: () => BatteryCharge | null;
  /** For tests: when this turn is over. */
  later?(work: () => void): void;
}

export interface SelfWatch {
  /** Takes the rain of a reading, null where it has none. */
  rain(time_s: number, rain_m: number | null): void;
  care(situation: Situation): Care;
  /** At an end that is no accident. */
  close(): void;
}

/** A restart is no interruption, a power cut is. */
const shortestInterruption_s = 600;
/** So long is it told that nothing was watched. */
const told_s = 3600;
const habitsEvery_s = 3600;
/** Well under what counts as an interruption. */
const aliveEvery_s = 300;
const batteryEvery_s = 30;
/** So many times what is usual, and so much at least, is much. Common practice, no source. */
const manyTimes = 3;
const little_m3 = 0.1;

export function watchOverItself(parts: CareParts): SelfWatch {
  const { config, now_s } = parts;
  const started_s = now_s();
  const interrupted = interruption(parts, started_s);
  const dry = createDrySpell();
  const batteryLow = createBatteryWatch();
  const later = parts.later ?? setImmediate;
  const habits = everySo(habitsEvery_s, () => houseHabits(parts.store, now_s()), later);
  const battery = everySo(batteryEvery_s, parts.battery ?? (() => readBattery(config.boardBattery)), later);
  const much = sinceIt();
  const silence = createSilenceWatch(started_s, parts.latestReadings_s);
  let watched = false;
  let kept_s = started_s;
  let lastRun_s: number | null = null;

  return {
    rain: dry.push,
    care(situation) {
      const time_s = now_s();
      watched = true;
      // Readings tell it by themselves, and the card is spared; a float may say nothing for days.
      if (time_s - Math.max(kept_s, situation.time_s ?? 0) >= aliveEvery_s) {
        kept_s = time_s;
        parts.keepAlive?.(time_s);
      }
      const usual = habits(time_s);
      if (situation.pumpRunning === true) lastRun_s = time_s;
      lastRun_s = Math.max(lastRun_s ?? Number.NEGATIVE_INFINITY, usual.lastRun_s ?? Number.NEGATIVE_INFINITY);
      if (lastRun_s === Number.NEGATIVE_INFINITY) lastRun_s = null;
      return {
        silentSince_s: silentSince(parts.sources()) ?? silence.since(situation.time_s, time_s),
        interrupted: interrupted !== null && time_s - interrupted.to_s < told_s ? interrupted : null,
        serviceDue_s: parts.serviceDue_s(),
        boardBattery: batteryLow(battery(time_s), time_s),
        lastRun_s,
        unusualPause_s: config.unusualPause_s ?? usual.unusualPause_s,
        muchWhileDry: muchWhileDry(usual, dry.isDry(time_s) === true, much, time_s),
      };
    },
    close() {
      if (watched) parts.keepAlive?.(now_s());
    },
  };
}

/** From what is last known of its life. */
function interruption({ recordEnd_s, lastAlive_s = null }: CareParts, started_s: number): Care["interrupted"] {
  if (recordEnd_s === null) return null;
  const from_s = Math.max(recordEnd_s, lastAlive_s ?? recordEnd_s);
  return started_s - from_s > shortestInterruption_s ? { from_s, to_s: started_s } : null;
}

function muchWhileDry(
  { inflowDay_m3, usualDay_m3, dayBefore_m3 }: HouseHabits,
  isDry: boolean,
  since: ReturnType<typeof sinceIt>,
  now_s: number,
): Care["muchWhileDry"] {
  if (inflowDay_m3 === null || usualDay_m3 === null) return null;
  const isMuch = inflowDay_m3 > Math.max(manyTimes * usualDay_m3, usualDay_m3 + little_m3);
  // What rain has left in the ground runs off day by day; what a pipe loses does not.
  const runsOff = inflowDay_m3 < (dayBefore_m3 ?? 0);
  const since_s = since(isDry && isMuch, !runsOff, now_s);
  return since_s === null ? null : { since_s, inflowDay_m3, usualDay_m3 };
}

/** Since when something has held that begins only where it may. */
function sinceIt(): (holds: boolean, mayBegin: boolean, now_s: number) => number | null {
  let since_s: number | null = null;
  return (holds, mayBegin, now_s) => {
    since_s = holds ? (since_s ?? (mayBegin ? now_s : null)) : null;
    return since_s;
  };
}

/**
 * Looks again after so long at the earliest, and then when this turn is over: it may be the one in which an alarm is told,
 * and to go through a year's record takes longer than all the way of an alarm.
 */
function everySo<Value>(
  pause_s: number,
  look: () => Value,
  later: (work: () => void) => void,
): (now_s: number) => Value {
  let seen: { value: Value; at_s: number } | null = null;
  return (now_s) => {
    seen ??= { value: look(), at_s: now_s };
    if (now_s - seen.at_s >= pause_s || now_s < seen.at_s) {
      const again = seen;
      again.at_s = now_s;
      later(() => {
        try {
          again.value = look();
        } catch {
          // The record is closed by now, or cannot be read, which others say: what was known of the house still holds.
        }
      });
    }
    return seen.value;
  };
}

/** Since when every source has been in trouble; one that has come to its end says nothing of the basin either. */
function silentSince(sources: readonly SourceHealth[]): number | null {
  if (sources.length === 0 || sources.some(({ state }) => state === "running" || state === "starting")) return null;
  return Math.max(...sources.map(({ since_s }) => since_s));
}
