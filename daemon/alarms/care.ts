// What the alarms are told beside the readings: silence, a time in which nothing was watched, the service that is due.

import type { Care } from "../../analysis/alarms/alarm.ts";
import type { SourceHealth } from "../sources/source.ts";
import type { AlarmsConfig } from "./alarms-config.ts";

export interface CareParts {
  readonly config: Pick<AlarmsConfig, "service" | "unusualPause_s">;
  readonly timezone: string;
  sources(): readonly SourceHealth[];
  readonly now_s: () => number;
  /** Time of the newest reading on record at the start; null of a new record. */
  readonly recordEnd_s: number | null;
  /** Day of the last service as entered on the page, `2026-05-01`; null: none was. */
  lastService(): string | null;
}

/** A restart is no interruption, a power cut is. */
const shortestInterruption_s = 600;
/** So long is it told that nothing was watched. */
const told_s = 3600;

export function watchOverItself(parts: CareParts): () => Care {
  const { config, now_s, recordEnd_s } = parts;
  const started_s = now_s();
  const interrupted =
    recordEnd_s !== null && started_s - recordEnd_s > shortestInterruption_s
      ? { from_s: recordEnd_s, to_s: started_s }
      : null;
  return () => ({
    silentSince_s: silentSince(parts.sources()),
    interrupted: interrupted !== null && now_s() - interrupted.to_s < told_s ? interrupted : null,
    serviceDue_s: serviceDue(parts.lastService() ?? config.service.last, config.service.every_s, parts.timezone),
    boardBattery: null,
    lastRun_s: null,
    unusualPause_s: config.unusualPause_s,
    muchWhileDry: null,
  });
}

/** Since when every source has been in trouble; one that has come to its end says nothing of the basin either. */
function silentSince(sources: readonly SourceHealth[]): number | null {
  if (sources.length === 0 || sources.some(({ state }) => state === "running" || state === "starting")) return null;
  return Math.max(...sources.map(({ since_s }) => since_s));
}

function serviceDue(last: string | null, every_s: number, timezone: string): number | null {
  if (last === null) return null;
  const day = Temporal.PlainDate.from(last).toZonedDateTime({ timeZone: timezone, plainTime: "09:00" });
  return day.epochMilliseconds / 1000 + every_s;
}
