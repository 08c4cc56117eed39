import { beforeEach, describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { silentReading } from "../../../analysis/readings/reading.ts";
import { noteChanges } from "../../../daemon/forward/changes.ts";
import { type RecordQueue, recordQueue } from "../../../daemon/forward/record-queue.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../../daemon/stores/store.ts";

const noon_s = 1_767_614_400;
const limits = { most: 100, earliest_s: 0, latest_s: 1e10 };

/** The store, as the analysis has it, and how many of its readings outlive the process. */
let store: Store;
let queue: RecordQueue;
let last: number;
beforeEach(() => {
  const inMemory = openSqliteStore(":memory:");
  last = Number.POSITIVE_INFINITY;
  const kept = () => ({ dropped: 0, last: Math.min(last, inMemory.readingCount()) });
  const whole: Store = { ...inMemory, forward: { ...inMemory.forward, kept } };
  store = noteChanges(whole, (kind, begin_s) => queue.changed(kind, begin_s));
  queue = recordQueue(whole, "elm-7", "there");
});

const append = (from: number, to: number) => {
  for (let i = from; i < to; i++) store.append({ ...silentReading, time_s: noon_s + i, level_m: 0.2 });
};
const cycleAt = (at: number, drainBack_m3: number | null = null): Cycle => ({
  ...{ startedAt_s: noon_s + at, stoppedAt_s: noon_s + at + 5, run_s: 5, rest_s: null, startLevel_m: null },
  ...{ stopLevel_m: null, inflow: null, pumpRate: null, drainBack_m3 },
});
/** What goes next, by measurement, with its time after noon. */
const next = () => {
  const round = queue.next(limits);
  const points = (round?.points ?? []).filter(({ measurement }) => !measurement.startsWith("level_"));
  const said = points.map(({ measurement, timestamp }) => `${measurement} ${Number(timestamp) / 1e9 - noon_s}`);
  return { said, commit: () => round?.commit() };
};
const goes = () => {
  const { said, commit } = next();
  commit();
  return said;
};

describe("recordQueue", () => {
  it("gives readings in order, and with them what begins before the last of them", () => {
    append(0, 150);
    for (const at of [10, 99, 120]) store.saveCycle(cycleAt(at));
    const first = goes();
    expect(first.slice(0, 2)).toEqual(["reading 0", "reading 1"]);
    expect(first.slice(99)).toEqual(["reading 99", "cycle 10"]);
    expect(goes().slice(-2)).toEqual(["cycle 99", "cycle 120"]);
    expect(goes()).toEqual([]);
    expect(queue.lag()).toMatchObject({ waiting: 0, oldest_s: null });
  });

  it("gives the same again until it is there", () => {
    append(0, 3);
    const { said } = next();
    expect(next().said).toEqual(said);
    expect(queue.lag()).toMatchObject({ waiting: 3, oldest_s: noon_s });
  });

  it("gives a record again that has changed since, and what begins after it", () => {
    append(0, 50);
    for (const at of [10, 20, 30]) store.saveCycle(cycleAt(at));
    goes();
    store.saveCycle(cycleAt(20, 0.001));
    expect(queue.lag()).toMatchObject({ waiting: 0, oldest_s: noon_s + 20 });
    expect(goes()).toEqual(["cycle 20", "cycle 30"]);
  });

  it("does not overlook what changes while it is on its way", () => {
    append(0, 50);
    store.saveCycle(cycleAt(10));
    const { said, commit } = next();
    expect(said).toContain("cycle 10");
    store.saveCycle(cycleAt(10, 0.001));
    commit();
    expect(goes()).toEqual(["cycle 10"]);
  });

  it("holds back readings that do not outlive the process yet, and what was derived from them", () => {
    append(0, 10);
    goes();
    last = 10;
    append(10, 20);
    store.saveCycle(cycleAt(8));
    store.saveInflow({ from_s: noon_s + 5, to_s: noon_s + 15, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 });
    expect(goes()).toEqual([]);
    last = 20;
    const said = goes();
    expect(said.slice(0, 10).at(-1)).toBe("reading 19");
    expect(said.slice(10)).toEqual(["cycle 8", "inflow 5", "inflow_10m 5"]);
  });

  it("goes back with a record that has lost readings which it had held in memory", () => {
    append(0, 20);
    const { commit } = next();
    last = 15; // meanwhile the store has given five up
    queue.look();
    last = 20; // and has taken five others
    commit();
    expect(goes()).toEqual([15, 16, 17, 18, 19].map((n) => `reading ${n}`));
  });

  it("keeps its place in the store, for that database alone", () => {
    append(0, 20);
    store.saveCycle(cycleAt(10));
    goes();
    expect(recordQueue(store, "elm-7", "there").next(limits)).toBeNull();
    expect(recordQueue(store, "elm-7", "elsewhere").next(limits)?.readings).toBe(20);
  });

  it("leaves out what is of no known time, and says how much", () => {
    append(0, 250);
    const round = queue.next({ ...limits, earliest_s: noon_s + 240 });
    expect(round?.readings).toBe(10);
    round?.commit();
    expect(queue.lag().unclocked).toBe(240);
  });
});

describe("a record that was put back from a copy", () => {
  const missing = { at_s: noon_s + 3000, from_s: noon_s + 1000, to_s: noon_s + 2400, aside: null };
  const restored = (): Store => ({ ...store, putBack: () => missing });
  const all = { ...limits, most: 10_000 };

  it("sends no sum that reaches into what it has nothing of: the database has more of that", () => {
    append(0, 1000);
    append(2400, 3700);
    const points = recordQueue(restored(), "elm-7", "there").next(all)?.points ?? [];
    const sums = points.filter(({ measurement }) => measurement.startsWith("level_"));
    const from = sums.map(({ measurement, timestamp }) => [measurement, Number(timestamp) / 1e9 - noon_s]);
    // Of the day, and of the ten minutes from 600 on, half is missing.
    expect(new Set(from.map(String))).toEqual(
      new Set(["level_10m,0", "level_10m,2400", "level_10m,3000", "level_10m,3600"]),
    );
    expect(points.filter(({ measurement }) => measurement === "reading")).toHaveLength(2300);
  });

  it("takes nothing of that time out of the database when all is derived anew", () => {
    append(0, 1000);
    append(2400, 3700);
    const queued = recordQueue(restored(), "elm-7", "there");
    queued.next(all)?.commit();
    store.rebuild(() => {});
    const { erase = [] } = recordQueue(restored(), "elm-7", "there").next(all) ?? {};
    expect(erase.map(({ measurement }) => measurement)).toContain("cycle");
    for (const { from_s, to_s } of erase) expect(to_s <= missing.from_s || from_s >= missing.to_s).toBe(true);
  });
});
