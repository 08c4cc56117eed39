// Pages of the record become unreadable: it is recognised at the start, set aside with its date, and what it still gives
// is in the new one.

import { copyFileSync, mkdtempSync, readdirSync, readFileSync, rmSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";

const always = { from_s: 0, to_s: 1e12 };
const page_B = 4096;
const count = 60_000;
const noon_s = 1_767_614_400;
const bare = { run_s: 5, rest_s: null, startLevel_m: null, stopLevel_m: null, inflow: null, pumpRate: null };

let folder: string;
let path: string;
let log: string[];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-damaged-"));
  path = join(folder, "store.db");
  log = [];
  const store = openSqliteStore(path);
  for (let n = 0; n < count; n++) {
    store.append({ ...silentReading, time_s: noon_s + n, level_m: ((n * 7919) % 4001) / 10_000 });
    if (n % 600 === 599) {
      store.saveCycle({ ...bare, startedAt_s: noon_s + n - 5, stoppedAt_s: noon_s + n, drainBack_m3: null });
    }
  }
  store.saveCheckpoint({ state: "here", readingsSeen: count });
  store.close();
});
afterEach(() => rmSync(folder, { recursive: true }));

const reopen = () => openSqliteStore(path, { now_s: () => noon_s, log: (message) => log.push(message) });
const aside = () => readdirSync(folder).filter((name) => name.endsWith(".damaged-2026-01-05T12-00-00"));

/** Whole and in order, but for one stretch that may be missing. */
function readUp(): { readings: number; gaps: number } {
  const store = reopen();
  let [readings, gaps, last_s] = [0, 0, noon_s - 1];
  for (const { time_s, level_m } of store.readings()) {
    if (time_s !== last_s + 1) gaps++;
    expect(time_s).toBeGreaterThan(last_s);
    expect(level_m).toBe((((time_s - noon_s) * 7919) % 4001) / 10_000);
    last_s = time_s;
    readings++;
  }
  expect(store.readingCount()).toBe(readings);
  store.append({ ...silentReading, time_s: last_s + 1, level_m: (((last_s + 1 - noon_s) * 7919) % 4001) / 10_000 });
  store.close();
  return { readings, gaps };
}

describe("a damaged store", () => {
  it("is left alone while it is whole", () => {
    expect(readUp()).toEqual({ readings: count, gaps: 0 });
    expect(log).toEqual([]);
  });

  it("that was cut off is set aside with its date, and its first readings are kept", () => {
    truncateSync(path, page_B * Math.floor(readFileSync(path).length / page_B / 2));
    const { readings } = readUp();
    expect(readings).toBeGreaterThan(0);
    expect(aside()).toHaveLength(1);
    expect(log).toEqual([expect.stringMatching(/^store: .*damaged.*stands aside as .*; \d+ readings, \d+ cycles/)]);
    expect(readUp().readings).toBe(readings + 1); // and the new one is whole
    expect(aside()).toHaveLength(1);
  });

  it("with any one page spoilt opens, now or once set aside, and gives all else that it can", () => {
    const pages = readFileSync(path).length / page_B;
    copyFileSync(path, join(folder, "whole"));
    let setAside = 0;
    for (let page = 1; page < pages; page += 3) {
      const bytes = readFileSync(join(folder, "whole"));
      writeFileSync(path, bytes.fill(0xa5, page * page_B, (page + 1) * page_B));
      for (const name of aside()) rmSync(join(folder, name));
      const before = log.length;
      const store = reopen();
      store.append({ ...silentReading, time_s: noon_s + count, level_m: 0.3 });
      store.close();
      if (log.length > before) setAside++;
    }
    expect(setAside).toBeGreaterThan(0);
  });

  it("keeps its cycles, and the analysis its place, when readings alone are spoilt", () => {
    const bytes = readFileSync(path);
    const last = bytes.length / page_B - 1;
    // The newest chunk's page is looked into at the start: find it by spoiling from the end.
    for (let page = last; page > 0 && log.length === 0; page--) {
      writeFileSync(path, Buffer.from(bytes).fill(0xa5, page * page_B, (page + 1) * page_B));
      const store = reopen();
      if (log.length > 0 && store.readingCount() < count) {
        expect(store.readingCount()).toBeGreaterThan(count / 2);
        expect(store.cycles(always, 1000)).toHaveLength(count / 600);
        expect(store.checkpoint()?.readingsSeen).toBe(store.readingCount());
      }
      store.close();
    }
    expect(log).not.toEqual([]);
  });
});
