import { describe, expect, it } from "vitest";
import { silentReading } from "../../../analysis/readings/reading.ts";
import { digestDerived, sayChanges } from "../../../daemon/commands/derived-digest.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../../daemon/stores/store.ts";
import { cycle, finding } from "../server/parts.ts";

const week_s = 604_800;
const start_s = Date.UTC(2025, 0, 6) / 1000;

function cycleAt(startedAt_s: number, drainBack_m3: number | null = null) {
  return { ...cycle, startedAt_s, stoppedAt_s: startedAt_s + 20, drainBack_m3 };
}

/** Three weeks and a reading: a cycle a day, a stretch of inflow from each to the next, one finding that lasts. */
function threeWeeks(): Store {
  const store = openSqliteStore(":memory:");
  for (const time_s of [start_s, start_s + 3 * week_s - 1]) store.append({ ...silentReading, time_s });
  for (let day = 0; day < 21; day++) {
    const from_s = start_s + day * 86_400 - (day === 0 ? 0 : 10); // the eighth and the fifteenth reach over a week's end
    store.saveCycle(cycleAt(from_s));
    store.saveInflow({ from_s, to_s: from_s + 86_400 - 10, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 });
  }
  store.saveFinding({ ...finding, from_s: start_s + 100, to_s: null });
  return store;
}

describe("digestDerived", () => {
  it("counts each row once, in the week it begins in", () => {
    const counts = digestDerived(threeWeeks()).map(({ name, count, weeks }) => [
      name,
      count,
      weeks.map((w) => w.count),
    ]);
    expect(counts).toEqual([
      ["cycles", 21, [8, 7, 6]],
      ["stretches of inflow", 21, [8, 7, 6]],
      ["findings", 1, [1, 0, 0]], // it lasts through all three
    ]);
  });

  it("asks the store for no more than a week at a time", () => {
    const asked: number[] = [];
    const store = threeWeeks();
    const watched: Store = {
      ...store,
      cycles: (span, limit) => {
        asked.push(span.to_s - span.from_s);
        return store.cycles(span, limit);
      },
    };
    digestDerived(watched);
    expect(asked).toEqual([week_s, week_s, week_s]);
  });
});

describe("sayChanges", () => {
  it("says of two stores that hold the same: all as before", () => {
    expect(sayChanges(digestDerived(threeWeeks()), digestDerived(threeWeeks()))).toEqual([
      "cycles: 21, all as before",
      "stretches of inflow: 21, all as before",
      "findings: 1, all as before",
    ]);
  });

  it("notices one figure of one cycle, one stretch more and a finding that is gone", () => {
    const before = digestDerived(threeWeeks());
    const store = threeWeeks();
    store.saveCycle(cycleAt(start_s + 9 * 86_400 - 10, 0.001));
    store.saveInflow({ from_s: start_s + 20.5 * 86_400, to_s: start_s + 20.6 * 86_400, inflow_m3s: 0, uInflow_m3s: 0 });
    expect(sayChanges(before, digestDerived(store))).toEqual([
      "cycles: 21, 21 before; they differ in 1 of 3 weeks, the first from 2025-01-13 on",
      "stretches of inflow: 22, 21 before; they differ in 1 of 3 weeks, the first from 2025-01-20 on",
      "findings: 1, all as before",
    ]);
    store.rebuild(() => {});
    expect(sayChanges(before, digestDerived(store))[2]).toBe(
      "findings: 0, 1 before; they differ in 1 of 3 weeks, the first from 2025-01-06 on",
    );
  });

  it("has nothing to say of a store without a reading", () => {
    const empty = digestDerived(openSqliteStore(":memory:"));
    expect(sayChanges(empty, empty)).toEqual([]);
  });
});
