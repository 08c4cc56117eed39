// Readings are dropped after their time, and the room they took is given back; what was made of them stays for ever.

import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../../analysis/readings/reading.ts";
import { openDatabase } from "../../../daemon/stores/sqlite/open-database.ts";
import { salvage } from "../../../daemon/stores/sqlite/salvage.ts";
import { checkRecord } from "../../../daemon/stores/sqlite/upkeep.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../../daemon/stores/store.ts";

const always = { from_s: 0, to_s: 1e12 };
const noon_s = 1_767_614_400;
const day_s = 86_400;
const days = 40;
/** One reading in 20 s, of which the next tells nothing. */
const levelAt = (n: number) => ((Math.imul(n + 1, 0x9e3779b1) ^ Math.imul(n + 7, 0x85ebca6b)) >>> 16) / 100_000;
const count = days * 4320;

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-keep-"));
  path = join(folder, "store.db");
});
afterEach(() => rmSync(folder, { recursive: true }));

function fill(store: Store, from: number, to: number): void {
  for (let n = from; n < to; n++) {
    const time_s = noon_s + n * 20;
    store.append({ ...silentReading, time_s, level_m: levelAt(n) });
    if (n % 15 === 0) store.saveInflow({ from_s: time_s, to_s: time_s + 300, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 });
    if (n % 4320 === 0) {
      const bare = { run_s: 5, rest_s: null, startLevel_m: null, stopLevel_m: null, inflow: null, pumpRate: null };
      store.saveCycle({ ...bare, startedAt_s: time_s, stoppedAt_s: time_s + 5, drainBack_m3: null });
      store.saveFinding({
        ...{ kind: "power-lost", severity: "info", from_s: time_s, to_s: time_s + 9 },
        ...{ evidence: {}, message: "" },
      });
    }
  }
}

/** Levels by whole days: those of the days themselves, not of what is left of them. */
const byDays = (store: Store) => {
  const { time_s, maximum_m, mean_m } = store.level({ from_s: noon_s, to_s: noon_s + days * day_s }, 30);
  return { time_s, maximum_m, mean_m };
};

describe("a store that keeps readings for ten days", () => {
  const keepReadings_s = 10 * day_s;

  it("drops older ones and single inflow, keeps roll-ups, cycles and findings, also when it is rebuilt", () => {
    const all = openSqliteStore(join(folder, "all.db"));
    fill(all, 0, count);
    const store = openSqliteStore(path, { keepReadings_s });
    fill(store, 0, count);
    store.flush();

    const [oldest] = store.readings();
    const age_s = noon_s + count * 20 - (oldest?.time_s ?? 0);
    expect(age_s).toBeGreaterThan(keepReadings_s);
    expect(age_s).toBeLessThan(keepReadings_s + 5 * day_s); // by chunks, and those in the next that are written
    expect(store.readingCount()).toBe(count);
    const rest = [...store.readings()];
    expect(rest.map(({ level_m }) => level_m)).toEqual(rest.map((_, i) => levelAt(count - rest.length + i)));

    const level = byDays(all);
    expect(byDays(store)).toEqual(level);
    expect(store.cycles(always, 1000)).toHaveLength(days);
    expect(store.findings(always, 1000)).toHaveLength(days);
    expect(store.span()?.from_s).toBe(noon_s);
    // An hour of which no reading is left is drawn from the roll-up.
    const early = store.level({ from_s: noon_s + day_s, to_s: noon_s + day_s + 3600 }, 2000);
    expect(early.bucket_s).toBe(600);
    expect(early.time_s.length).toBeGreaterThan(5);

    store.rebuild(() => {});
    expect(byDays(store)).toEqual(level);
    const [first] = store.readings();
    const horizon_s = first?.time_s ?? 0;
    const older = (started_s: number) => started_s < horizon_s;
    expect(store.cycles(always, 1000).map((cycle) => cycle.startedAt_s)).toEqual(
      all
        .cycles(always, 1000)
        .map((cycle) => cycle.startedAt_s)
        .filter(older),
    );
    store.close();
    all.close();
    expect(checkRecord(path).faults).toEqual([]);
  });

  it("gives the room back to the disk", () => {
    const all = openSqliteStore(path);
    fill(all, 0, count);
    all.close();
    const before_B = statSync(path).size;
    const store = openSqliteStore(path, { keepReadings_s });
    fill(store, count, count + 10 * 4320);
    store.close();
    expect(statSync(path).size).toBeLessThan(before_B * 0.8);
    const again = openSqliteStore(path);
    expect([...again.readings()].at(-1)?.level_m).toBe(levelAt(count + 10 * 4320 - 1));
    again.close();
  });

  it("loses little to a clock that was wrong for a while", () => {
    const store = openSqliteStore(path, { keepReadings_s });
    fill(store, 0, 9 * 4320);
    store.append({ ...silentReading, time_s: noon_s + 1e9, level_m: 0.2 });
    fill(store, 9 * 4320 + 1, 10 * 4320);
    store.flush();
    expect([...store.readings()]).toHaveLength(10 * 4320);
    store.close();
  });
});

describe("a store that keeps rain for ever, the current for ten days and all else for twenty", () => {
  const kept = {
    keepReadings_s: 20 * day_s,
    keepChannels_s: { rain_m: Number.POSITIVE_INFINITY, pumpCurrent_a: 10 * day_s },
  };
  const readingAt = (n: number) => ({
    ...silentReading,
    time_s: noon_s + n * 20,
    level_m: levelAt(n),
    pumpCurrent_a: levelAt(n + 3),
    rain_m: n % 4320 === 7 ? 0.0002 : null,
  });
  const fillAll = (store: Store, from: number, to: number) => {
    for (let n = from; n < to; n++) store.append(readingAt(n));
    store.flush();
  };
  const oldest = (store: Store, channel: "level_m" | "pumpCurrent_a" | "rain_m") =>
    [...store.readings()].find((reading) => reading[channel] !== null)?.time_s ?? 0;
  const end_s = noon_s + count * 20;

  it("drops each channel by its own time, and gives the rest back bit for bit", () => {
    const store = openSqliteStore(path, kept);
    fillAll(store, 0, count);
    for (const [channel, keep_s] of [
      ["pumpCurrent_a", 10 * day_s],
      ["level_m", 20 * day_s],
    ] as const) {
      const age_s = end_s - oldest(store, channel);
      expect(age_s).toBeGreaterThan(keep_s);
      expect(age_s).toBeLessThan(keep_s + 5 * day_s);
    }
    const rain = [...store.readings()].filter(({ rain_m }) => rain_m !== null);
    expect(rain.map(({ time_s }) => time_s)).toEqual(Array.from({ length: days }, (_, i) => noon_s + i * day_s + 140));
    for (const reading of store.readings()) {
      const whole = readingAt((reading.time_s - noon_s) / 20);
      if (reading.level_m !== null) expect(reading.level_m).toBe(whole.level_m);
      if (reading.pumpCurrent_a !== null) expect(reading).toStrictEqual(whole);
    }
    store.close();
    expect(checkRecord(path).faults).toEqual([]);
  });

  it("gives the room of what is dropped back to the disk", () => {
    const all = openSqliteStore(join(folder, "all.db"));
    fillAll(all, 0, count);
    all.close();
    const store = openSqliteStore(path, kept);
    fillAll(store, 0, count);
    store.close();
    const [all_B, kept_B] = [join(folder, "all.db"), path].map((file) => statSync(file).size);
    // Of 40 days the level of 20 is left, and the current of 10: by chunks, so a little more.
    expect((kept_B ?? 0) / (all_B ?? 0)).toBeLessThan(0.5);
  });

  it("draws the level of a time of which it is gone from the roll-up, as before", () => {
    const all = openSqliteStore(join(folder, "all.db"));
    fillAll(all, 0, count);
    const store = openSqliteStore(path, kept);
    fillAll(store, 0, count);
    const level = byDays(all);
    expect(byDays(store)).toEqual(level);
    expect(store.level({ from_s: noon_s + day_s, to_s: noon_s + day_s + 3600 }, 2000).bucket_s).toBe(600);
    store.rebuild(() => {});
    expect(byDays(store)).toEqual(level);
    store.close();
    all.close();
  });

  it("derives anew from where every channel is there, and leaves what is older as it is", () => {
    const store = openSqliteStore(path, kept);
    fill(store, 0, 4320); // with a cycle and a finding
    fillAll(store, 4320, count);
    const [whole] = store.readings(store.readingsDropped());
    expect(whole).toStrictEqual(readingAt(((whole?.time_s ?? 0) - noon_s) / 20));
    expect((whole?.time_s ?? 0) - oldest(store, "pumpCurrent_a")).toBe(0);
    store.rebuild(() => {});
    expect(store.cycles(always, 10)).toHaveLength(1);
    store.close();
  });

  it("knows what it has dropped also where it was salvaged", () => {
    const store = openSqliteStore(path, kept);
    fillAll(store, 0, count);
    store.close();
    const again = openSqliteStore(path, kept);
    const whole = [...again.readings(again.readingsDropped())];
    again.close();
    const copy = openDatabase(join(folder, "salvaged.db"));
    salvage(path, copy);
    copy.close();
    const salvaged = openSqliteStore(join(folder, "salvaged.db"), kept);
    expect(salvaged.readingsDropped()).toBeGreaterThan(0);
    expect([...salvaged.readings(salvaged.readingsDropped())]).toStrictEqual(whole);
    salvaged.close();
  });
});

it("a store that keeps everything for ever has dropped nothing", () => {
  const store = openSqliteStore(path, { keepChannels_s: { level_m: Number.POSITIVE_INFINITY } });
  fill(store, 0, 4320);
  expect(store.readingsDropped()).toBe(0);
  expect([...store.readings()]).toHaveLength(4320);
  store.close();
});
