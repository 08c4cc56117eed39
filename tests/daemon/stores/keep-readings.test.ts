// Readings are dropped after their time, and the room they took is given back; what was made of them stays for ever.

import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../../analysis/readings/reading.ts";
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
