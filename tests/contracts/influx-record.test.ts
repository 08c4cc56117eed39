// The record in the database that many boards share, held against a real influxd: the suite of every record, and beside
// it the same answers as the board's own store gives.

import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { influxRecord } from "../../daemon/stores/influx/influx-record.ts";
import { type RecordReader, recordReader } from "../../daemon/stores/record-reader.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { linkTo, makeDatabase, tellBasin } from "../real/influx-writer.ts";
import { type Influxd, startInfluxd } from "../real/influxd.ts";
import { allOf, always, levelAt, noon_s, type RecordKind, recordSuite } from "./record-suite.ts";

let server: Influxd | null = null;
let basins = 0;

const influx: RecordKind = {
  async begin() {
    server = await startInfluxd();
    await makeDatabase(server);
  },
  end: async () => server?.dispose(),
  async open() {
    if (server === null) throw new Error("influxd does not run");
    const basin = `basin-${++basins}`;
    const link = await linkTo(server);
    return { reader: influxRecord(link, basin), tell: tellBasin(server, basin) };
  },
};

recordSuite("a record on a shared database", influx);

describe("two months of a basin, told to both", () => {
  let there: RecordReader;
  let board: RecordReader;
  const store = openSqliteStore(":memory:");
  const days = 60;
  const end_s = noon_s + days * 86_400;

  beforeAll(async () => {
    await influx.begin?.();
    const record = await influx.open();
    there = record.reader;
    board = recordReader(store);
    const readings = basinFor(days);
    for (const reading of readings) store.append(reading);
    store.flush();
    await record.tell({ readings });
  }, 120_000);
  afterAll(async () => {
    store.close();
    await influx.end?.();
  });

  it("have the same span", async () => {
    expect(await there.span()).toEqual(await board.span());
  });

  const spans = [
    { name: "a minute", from_s: noon_s + 9000, to_s: noon_s + 9060 },
    { name: "an hour", from_s: noon_s + 9000, to_s: noon_s + 12_600 },
    { name: "a day over a gap", from_s: noon_s + 4.6 * 86_400, to_s: noon_s + 5.6 * 86_400 },
    { name: "a week", from_s: noon_s + 20 * 86_400 + 17, to_s: noon_s + 27 * 86_400 + 5 },
    { name: "the last two days", from_s: end_s - 2 * 86_400, to_s: end_s },
    { name: "all of it", ...always },
  ];
  const points = [2000, 300, 20];
  it.each(spans.flatMap((span) => points.map((count) => ({ ...span, count }))))(
    "give the same level of $name in $count points",
    async ({ from_s, to_s, count }) => {
      const [far, near] = await Promise.all([there, board].map((one) => one.level({ from_s, to_s }, count)));
      expect(far?.bucket_s).toBe(near?.bucket_s);
      expect(far?.time_s).toEqual(near?.time_s);
      expect(far?.minimum_m).toEqual(near?.minimum_m);
      expect(far?.maximum_m).toEqual(near?.maximum_m);
      for (const [i, mean_m] of (far?.mean_m ?? []).entries())
        expect(mean_m).toBeCloseTo(near?.mean_m[i] ?? Number.NaN, 10);
    },
  );

  it("give the same readings", async () => {
    const span = { from_s: noon_s + 86_400, to_s: noon_s + 3 * 86_400 };
    expect(await allOf(there, span)).toEqual(await allOf(board, span));
  });

  it("are drawn alike where the database has dropped old readings, from the sums that it keeps", async () => {
    const [whole, month] = await Promise.all([board.level(always, 300), board.level(always, 20)]);
    const dropped_s = noon_s + 20 * 86_400;
    await server?.query(`DELETE FROM reading WHERE basin = 'basin-${basins}' AND time < ${dropped_s}s`, "undercroft");
    expect(await there.span()).toEqual({ from_s: Math.floor(noon_s / 600) * 600, to_s: (await board.span())?.to_s });
    for (const near of [whole, month]) {
      const far = await there.level(always, near === whole ? 300 : 20);
      expect(far.time_s).toEqual(near.time_s);
      expect(far.minimum_m).toEqual(near.minimum_m);
      expect(far.maximum_m).toEqual(near.maximum_m);
    }
    const day = await there.level({ from_s: noon_s + 86_400, to_s: noon_s + 2 * 86_400 }, 2000);
    expect(day.bucket_s).toBe(600);
    expect(day.time_s.length).toBeGreaterThan(140);
    expect(await allOf(there, { from_s: noon_s, to_s: dropped_s - 1 })).toEqual([]);
  });
});

it("a record whose board sent no sums is summed up from its readings", async () => {
  await influx.begin?.();
  const { reader, tell } = await influx.open();
  const readings = basinFor(3);
  await tell({ readings });
  await server?.query("DELETE FROM level_10m; DELETE FROM level_1d", "undercroft");
  const series = await reader.level(always, 40);
  const first = readings.filter(({ time_s }) => time_s < (series.time_s[1] ?? 0)).map(({ level_m }) => level_m ?? 0);
  expect(series.minimum_m[0]).toBe(Math.min(...first));
  expect(series.time_s.length).toBeGreaterThan(30);
  await influx.end?.();
});

/** A reading every half minute, some milliseconds off; six hours are missing. */
function basinFor(days: number): Reading[] {
  const readings: Reading[] = [];
  for (let i = 0; i < days * 2880; i++) {
    const time_s = noon_s + i * 30 + (i % 3) / 1000;
    if (time_s > noon_s + 5 * 86_400 && time_s < noon_s + 5.25 * 86_400) continue;
    const level_m = Math.round(1500 + ((i * 37) % 2003) + 40 * Math.sin(i)) / 10_000;
    readings.push({ ...levelAt(time_s, level_m), pumpOn: i % 54 > 50 });
  }
  return readings;
}
