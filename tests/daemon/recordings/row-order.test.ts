import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { rowOrder } from "../../../daemon/recordings/row-order.ts";
import { giveReadings, rowTable } from "../../../daemon/recordings/row-table.ts";
import * as fc from "../../at-random.ts";

interface Row {
  readonly time_s: number;
  readonly level_m?: number;
  readonly pumpOn?: 0 | 1;
}

/** Sends rows through an order with a window; `inOrder` is false when a row came too late for it. */
function order(rows: readonly Row[], window = 64) {
  const given: Reading[] = [];
  const start = rowTable(["level_m", "pumpOn"], window === Number.POSITIVE_INFINITY ? 16 : 2 * window);
  const rowsInOrder = rowOrder(start, window, (table, from, to) =>
    giveReadings(table, from, to, (reading) => given.push(reading)),
  );
  let inOrder = true;
  for (const row of rows) {
    const { table } = rowsInOrder;
    table.time_ms[table.length] = row.time_s * 1000;
    for (const [at, value] of [row.level_m, row.pumpOn].entries()) {
      const column = table.columns[at];
      if (column) column[table.length] = value ?? Number.NaN;
    }
    table.length += 1;
    if (table.length === table.capacity) inOrder = rowsInOrder.settle(false);
    if (!inOrder) break;
  }
  if (inOrder) inOrder = rowsInOrder.settle(true);
  return { given, inOrder, counts: rowsInOrder.counts, times: given.map(({ time_s }) => time_s) };
}

/** `count` rows a second apart; the level tells the rows apart. */
const rowsFrom = (start_s: number, count: number, level_m = 0): Row[] =>
  Array.from({ length: count }, (_, n) => ({ time_s: start_s + n, level_m: level_m + n / 1000 }));
const timesOf = (rows: readonly Row[]) => rows.map(({ time_s }) => time_s);

describe("rowOrder", () => {
  it("lets rows in order through as they are", () => {
    const rows = rowsFrom(0, 1000);
    const { times, counts } = order(rows);
    expect(times).toEqual(timesOf(rows));
    expect(counts).toMatchObject({ readings: 1000, doubles: 0, outOfOrder: 0, clockSteps: [] });
  });

  it("puts rows that come late by less than the window in their place", () => {
    const lateness = fc.array(fc.integer({ min: 0, max: 60 }), { minLength: 300, maxLength: 400 });
    fc.assert(
      fc.property(lateness, (late) => {
        const rows = rowsFrom(0, late.length);
        const arrival = (row: Row) => row.time_s + (late[row.time_s] ?? 0);
        const shuffled = rows.toSorted((a, b) => arrival(a) - arrival(b));
        const { given, inOrder } = order(shuffled);
        expect(inOrder).toBe(true);
        expect(given.map(({ time_s, level_m }) => ({ time_s, level_m }))).toEqual(rows);
      }),
      { numRuns: 50 },
    );
  });

  it("says when a row came too late for the window, and sorts it when the whole recording is held", () => {
    const rows = [...rowsFrom(1, 500), { time_s: 0, level_m: 1 }, ...rowsFrom(501, 300)];
    expect(order(rows).inOrder).toBe(false);
    const whole = order(rows, Number.POSITIVE_INFINITY);
    expect(whole.times).toEqual(Array.from({ length: 801 }, (_, n) => n));
    expect(whole.counts.clockSteps).toEqual([]);
  });

  it("sorts any rows whatever when the whole recording is held", () => {
    const row = fc.record({ time_s: fc.integer({ min: 0, max: 100 }), level_m: fc.integer({ min: 0, max: 3 }) });
    fc.assert(
      fc.property(fc.array(row), (rows) => {
        const { times, counts } = order(rows, Number.POSITIVE_INFINITY);
        expect(times).toEqual([...new Set(timesOf(rows))].sort((a, b) => a - b));
        expect(counts.doubles + counts.conflicts + counts.readings).toBe(rows.length);
      }),
    );
  });

  it("drops doubles, merges channels, keeps the first of contradicting values", () => {
    const { given, counts } = order([
      { time_s: 1, level_m: 0.1 },
      { time_s: 1, level_m: 0.1 },
      { time_s: 2, level_m: 0.2 },
      { time_s: 2, pumpOn: 1 },
      { time_s: 3, level_m: 0.3, pumpOn: 0 },
      { time_s: 3, level_m: 0.4 },
    ]);
    expect(given.map(({ time_s, level_m, pumpOn }) => [time_s, level_m, pumpOn])).toEqual([
      [1, 0.1, null],
      [2, 0.2, true],
      [3, 0.3, false],
    ]);
    expect(counts).toMatchObject({ readings: 3, doubles: 1, merged: 1, conflicts: 1 });
  });

  it("makes one reading of a clock that stands still", () => {
    const { given, counts } = order(Array.from({ length: 1000 }, () => ({ time_s: 5, level_m: 1 })));
    expect(given).toHaveLength(1);
    expect(counts.doubles).toBe(999);
  });
});

describe("a clock that was set back", () => {
  it.each([10, 50, 100])("by %i s keeps the order and the length of everything", (back_s) => {
    const rows = [...rowsFrom(0, 200), ...rowsFrom(200 - back_s, 400, 5)];
    const { given, times, counts } = order(rows);
    expect(times).toEqual(Array.from({ length: 600 }, (_, n) => n));
    expect(given.map(({ level_m }) => level_m)).toEqual(rows.map(({ level_m }) => level_m));
    expect(counts).toMatchObject({ outOfOrder: 0, clockSteps: [{ at_s: 199, added_s: back_s }] });
  });

  it("further than the window is found when the whole recording is held", () => {
    const rows = [...rowsFrom(0, 2000), ...rowsFrom(1000, 3000, 5)];
    expect(order(rows).inOrder).toBe(false);
    const { times, counts } = order(rows, Number.POSITIVE_INFINITY);
    expect(times).toEqual(Array.from({ length: 5000 }, (_, n) => n));
    expect(counts.clockSteps).toEqual([{ at_s: 1999, added_s: 1000 }]);
  });

  it("more than once, and again shortly before the end", () => {
    const rows = [...rowsFrom(0, 300), ...rowsFrom(270, 300, 5), ...rowsFrom(550, 20, 7)];
    const { times, counts } = order(rows);
    expect(times).toEqual(Array.from({ length: 620 }, (_, n) => n));
    expect(counts.clockSteps.map(({ added_s }) => added_s)).toEqual([30, 20]);
  });

  it("is not seen in a block of rows that was sent twice", () => {
    const rows = rowsFrom(0, 400);
    const { times, counts } = order([...rows.slice(0, 200), ...rows.slice(150, 200), ...rows.slice(200)]);
    expect(times).toEqual(timesOf(rows));
    expect(counts).toMatchObject({ doubles: 50, clockSteps: [] });
  });

  it("is not seen in a block of rows that was sent late", () => {
    const rows = rowsFrom(0, 400);
    const { times, counts } = order([
      ...rows.slice(0, 100),
      ...rows.slice(140, 180),
      ...rows.slice(100, 140),
      ...rows.slice(180),
    ]);
    expect(times).toEqual(timesOf(rows));
    expect(counts.clockSteps).toEqual([]);
  });

  it("is not seen where a few rows come late, side by side, into the holes that they left", () => {
    const rows = rowsFrom(0, 200);
    const late = [100, 103, 110];
    const rest = rows.filter(({ time_s }) => !late.includes(time_s));
    const sent = [...rest.slice(0, 130), ...rows.filter(({ time_s }) => late.includes(time_s)), ...rest.slice(130)];
    const { times, counts } = order(sent);
    expect(times).toEqual(timesOf(rows));
    expect(counts.clockSteps).toEqual([]);
  });

  it("is not seen in two loggers' files of different channels, one after the other", () => {
    const pump = rowsFrom(0, 300).map(({ time_s }): Row => ({ time_s: time_s + 0.5, pumpOn: 0 }));
    const { times, counts } = order([...rowsFrom(0, 300), ...pump], Number.POSITIVE_INFINITY);
    expect(times).toEqual(Array.from({ length: 600 }, (_, n) => n / 2));
    expect(counts.clockSteps).toEqual([]);
  });

  it("is not seen in days that stand in the wrong order", () => {
    const { times, counts } = order([...rowsFrom(1000, 500), ...rowsFrom(0, 500)], Number.POSITIVE_INFINITY);
    expect(times).toEqual([...timesOf(rowsFrom(0, 500)), ...timesOf(rowsFrom(1000, 500))]);
    expect(counts.clockSteps).toEqual([]);
  });

  it("is not seen in a recording that runs backwards", () => {
    const { times, counts } = order(rowsFrom(0, 300).toReversed(), Number.POSITIVE_INFINITY);
    expect(times).toEqual(timesOf(rowsFrom(0, 300)));
    expect(counts.clockSteps).toEqual([]);
  });
});
