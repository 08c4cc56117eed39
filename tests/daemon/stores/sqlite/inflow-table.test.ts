import { DatabaseSync } from "node:sqlite";
import { beforeEach, describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../../analysis/analyzer.ts";
import { type InflowTable, inflowTable } from "../../../../daemon/stores/sqlite/inflow-table.ts";
import { migrate } from "../../../../daemon/stores/sqlite/migrations.ts";
import { singleAlone } from "../../../../daemon/stores/store.ts";

const always = { from_s: Number.NEGATIVE_INFINITY, to_s: Number.POSITIVE_INFINITY };

/** Three days of stretches of 20 s, with a gap of 1000 s in one hour of the second. */
const stretches: InflowStretch[] = Array.from({ length: 3 * 4320 }, (_, i) => i * 20)
  .filter((from_s) => from_s < 98_000 || from_s >= 99_000)
  .map((from_s) => ({ from_s, to_s: from_s + 20, inflow_m3s: (from_s % 1300) / 1e7, uInflow_m3s: 1e-6 }));

const volume_m3 = (all: readonly InflowStretch[]) => all.reduce((v, s) => v + s.inflow_m3s * (s.to_s - s.from_s), 0);

let database: DatabaseSync;
let table: InflowTable;
beforeEach(() => {
  database = new DatabaseSync(":memory:");
  migrate(database);
  table = inflowTable(database);
});

function put(some: readonly InflowStretch[]): void {
  for (const stretch of some) table.put(stretch);
  table.joinFinished();
  table.write();
}

const joinedRows = () => database.prepare("SELECT * FROM inflowJoined").all();

describe("inflowTable", () => {
  it("gives every stretch back bit for bit", () => {
    const odd = stretches.map((s, i) => ({ ...s, to_s: s.to_s - 1 / (i + 3), inflow_m3s: s.inflow_m3s / 3 }));
    put(odd);
    expect(table.within(always, 1e9)).toStrictEqual(odd);
  });

  it("forgets what was put in a transaction that failed", () => {
    put(stretches.slice(0, 10));
    for (const stretch of stretches.slice(10, 20)) table.put(stretch);
    table.revert();
    table.write();
    expect(table.within(always, 1e9)).toStrictEqual(stretches.slice(0, 10));
  });

  it("takes less than half the room that a row for each would", () => {
    put(stretches);
    const { size } = database.prepare("SELECT sum(length(body)) AS size FROM inflowPart").get() ?? {};
    expect(Number(size)).toBeLessThan(stretches.length * 20);
  });

  it("gives single stretches while there are points for them, those that reach into the span too", () => {
    put(stretches);
    const few = table.within({ from_s: 50, to_s: 90 }, 100);
    expect(few.map((s) => s.from_s)).toEqual([40, 60, 80]);
  });

  it("joins them by ten minutes where there are not, keeps the gap and the volume", () => {
    put(stretches);
    const joined = table.within(always, 300);
    // 432 parts but the newest, whose 30 stretches stay single, and but one that lies in the gap
    expect(joined).toHaveLength(430 + 30);
    expect(joined.some((s) => s.to_s > 98_000 && s.from_s < 99_000)).toBe(false);
    expect(volume_m3(joined)).toBeCloseTo(volume_m3(stretches), 10);
  });

  it("gives joined ones that overlap the span, and no others", () => {
    put(stretches);
    const joined = table.within({ from_s: 10_000, to_s: 90_000 }, 100);
    expect(joined[0]?.from_s).toBe(9600); // the part that 10,000 s falls into
    expect(joined.at(-1)?.from_s).toBe(90_000);
    expect(joined).toHaveLength(135);
  });

  it("gives joined ones of the time whose single ones have been dropped, however short the span", () => {
    put(stretches);
    table.dropBefore(86_400);
    const gone = { from_s: 7200, to_s: 10_800 };
    const found = table.within(gone, 2000);
    expect(found.map(({ from_s }) => from_s)).toEqual([7200, 7800, 8400, 9000, 9600, 10_200, 10_800]);
    expect(volume_m3(found.slice(0, -1))).toBeCloseTo(
      volume_m3(stretches.filter(({ from_s }) => from_s >= gone.from_s && from_s < gone.to_s)),
      12,
    );
    const all = table.within(always, 1e9);
    expect(all.filter(({ from_s }) => from_s >= 86_400)).toStrictEqual(stretches.filter((s) => s.from_s >= 86_400));
    expect(volume_m3(all)).toBeCloseTo(volume_m3(stretches), 12);
    expect(table.within(gone, singleAlone)).toEqual([]);
  });

  it("joins alike however the stretches came: at once, in lots, some of them again, after a restart", () => {
    put(stretches);
    const atOnce = joinedRows();
    table.clear(Number.NEGATIVE_INFINITY);
    expect(joinedRows()).toEqual([]);
    for (let i = 0; i < stretches.length; i += 100) {
      put(stretches.slice(Math.max(0, i - 300), i + 100));
      if (i % 700 === 0) table = inflowTable(database);
    }
    expect(joinedRows()).toEqual(atOnce);
  });

  it("takes up a stretch that was replaced long after its time", () => {
    put(stretches);
    const [first] = stretches as [InflowStretch];
    put([{ ...first, inflow_m3s: 1 }]);
    put(stretches.slice(-1)); // the newest part is still the newest
    expect(volume_m3(table.within(always, 300))).toBeCloseTo(volume_m3(stretches) + 20 * (1 - first.inflow_m3s), 10);
  });
});
