// The power goes while the card is writing: what came last is torn off or garbled. The store opens all the same, with
// everything up to there, in order.

import { copyFileSync, mkdtempSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-torn-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

const bareCycle = {
  run_s: 0,
  rest_s: null,
  startLevel_m: null,
  stopLevel_m: null,
  inflow: null,
  pumpRate: null,
  drainBack_m3: null,
};

/** What a store is made of on the card: the database, its log, and the recent readings that are in neither. */
const parts = ["", "-wal", ".recent"];

/** A store at work, as it stands on the card: all of it among the recent readings, or some in the database's log, too. */
function storeAtWork(path: string, asItStands: string, withCheckpoints: boolean): void {
  const store = openSqliteStore(path);
  for (let n = 0; n < 3000; n++) {
    store.append({ ...silentReading, time_s: n, level_m: n });
    if (n % 100 === 99) store.saveCycle({ ...bareCycle, startedAt_s: n, stoppedAt_s: n });
    if (withCheckpoints && n % 1000 === 499) store.saveCheckpoint({ state: n, readingsSeen: n + 1 });
  }
  for (const part of parts) copyFileSync(path + part, asItStands + part);
  store.close();
}

/** Opens what is left, which must be the beginning of what was written; returns how many readings it has. */
function readUp(path: string): number {
  const store = openSqliteStore(path);
  const levels = [...store.readings()].map((reading) => reading.level_m);
  const cycles = store.cycles({ from_s: 0, to_s: 1e9 }, 1000).reverse();
  const level = store.level({ from_s: 0, to_s: 1e9 }, 20);
  expect(levels).toEqual(Array.from({ length: levels.length }, (_, n) => n));
  expect(cycles.map((cycle) => cycle.startedAt_s)).toEqual(
    Array.from({ length: Math.floor(levels.length / 100) }, (_, n) => n * 100 + 99),
  );
  store.rebuild(() => {});
  expect(store.level({ from_s: 0, to_s: 1e9 }, 20)).toEqual(level);
  store.close();
  const database = new DatabaseSync(path);
  expect(database.prepare("PRAGMA integrity_check").get()?.integrity_check).toBe("ok");
  database.close();
  return levels.length;
}

describe("a store whose recent readings", () => {
  it("were cut off anywhere keeps the beginning", () => {
    const original = join(folder, "original");
    storeAtWork(join(folder, "at-work.db"), original, false);
    const page_B = 4096;
    const kept = Array.from({ length: 12 }, (_, i) => {
      const path = join(folder, `cut-${i}.db`);
      for (const part of parts) copyFileSync(original + part, path + part);
      truncateSync(`${path}.recent`, Math.floor((30 * page_B * (i + Math.random())) / 12));
      return readUp(path);
    });
    expect(kept).toEqual(kept.toSorted((a, b) => a - b));
    expect(kept.at(-1)).toBeGreaterThan(2500);
  });

  it("were torn while a page of them was written keep what stands before it", () => {
    const path = join(folder, "torn.db");
    storeAtWork(join(folder, "at-work.db"), path, true);
    const recent = readFileSync(`${path}.recent`);
    const lastRecord = newestPage(recent);
    writeFileSync(`${path}.recent`, recent.fill(0xa5, lastRecord + 40, lastRecord + 60));
    expect(readUp(path)).toBe(2900);
  });
});

/** Where the newest record begins: its number stands 8 bytes into its page. */
function newestPage(recent: Buffer): number {
  const pages = Array.from({ length: recent.length / 4096 }, (_, i) => i * 4096);
  return pages.reduce((a, b) => (recent.readDoubleLE(b + 8) > recent.readDoubleLE(a + 8) ? b : a));
}

describe("a store whose log", () => {
  it("was cut off anywhere opens all the same", () => {
    const original = join(folder, "original");
    storeAtWork(join(folder, "at-work.db"), original, true);
    const { size } = statSync(`${original}-wal`);
    for (let i = 0; i < 12; i++) {
      const path = join(folder, `cut-${i}.db`);
      for (const part of ["", "-wal"]) copyFileSync(original + part, path + part);
      truncateSync(`${path}-wal`, Math.floor((size * (i + Math.random())) / 12));
      openSqliteStore(path).close();
      const database = new DatabaseSync(path);
      expect(database.prepare("PRAGMA integrity_check").get()?.integrity_check).toBe("ok");
      database.close();
    }
  });
});
