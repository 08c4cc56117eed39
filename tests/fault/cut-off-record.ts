// A record that was cut off by the power while it was watched, kept for as long as is asked for.

import { copyFileSync } from "node:fs";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { parseSiteFile } from "../../daemon/config/parse-site-file.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../daemon/stores/store.ts";
import { startWatch, type Watch } from "../../daemon/watch.ts";
import { type Month, monthSiteFile } from "../bench/month/month.ts";
import { enlargeRecord } from "./enlarge-record.ts";

export interface Watched {
  readonly store: Store;
  readonly watch: Watch;
  play(month: Month, from: number, to: number): void;
}

/** Opens the record and carries on, as the daemon does at its start. */
export function watchOver(path: string): Watched {
  const store = openSqliteStore(path);
  let now_s = 0;
  const watch = startWatch({ site: site(), store, createAnalyzer, version: "1", now_s: () => now_s });
  const play = (month: Month, from: number, to: number) => {
    for (let i = from; i < to; i++) {
      now_s = ((month.time_ms[i] ?? 0) - (month.time_ms[0] ?? 0)) / 1000;
      take(watch, month, i);
    }
  };
  return { store, watch, play };
}

function take(watch: Watch, { time_ms, level_mm, pumpOn }: Month, i: number): void {
  const level_m = (level_mm[i] ?? 0) / 1000;
  watch.take({ time_s: (time_ms[i] ?? 0) / 1000, level_m, pumpOn: pumpOn[i] === 1 });
  watch.tick();
}

function site() {
  const parsed = parseSiteFile(monthSiteFile, "month.yaml", []);
  if (!parsed.ok) throw new Error("the site file does not hold");
  return parsed.siteFile.site;
}

/**
 * Whole days as many times over, the last of them once, and what of a day comes after them: cut off, its readings beside
 * the database, which has a log.
 *
 * @param path of a new record; what the cut leaves stands beside it
 * @param days whole days of `month`, of which the rest is what comes after
 * @returns path of what is left
 */
export function cutOffRecord(path: string, month: Month, days: number, times: number): string {
  const left = `${path}-left`;
  const first = watchOver(path);
  const wholeDays = month.time_ms.findIndex((time_ms) => time_ms >= (month.time_ms[0] ?? 0) + days * 86_400_000);
  first.play(month, 0, wholeDays);
  first.watch.keepPlace();
  first.store.close();
  if (times > 1) enlargeRecord(path, times - 1, days);
  const second = watchOver(path);
  second.play(month, wholeDays, month.rows);
  second.store.flush();
  for (const part of ["", "-wal", ".recent"]) copyFileSync(path + part, left + part);
  second.store.close();
  return left;
}
