// Pump runs that instruments recorded, against counts made without this program (one short script over the raw rows).

import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { analyzeRecording, foot_m } from "./analyze-recording.ts";

const fixtures = join(import.meta.dirname, "../fixtures");
const plant = join(fixtures, "plant-tanks-1min.csv.gz");
const air = join(fixtures, "air-reservoir-10s.csv.gz");

describe("four days of a plant whose pump fills two tanks in turn (1 min)", () => {
  const columns = { time: "date_time" };
  const timezone = "America/Denver";

  it("is read whole: 5 759 rows, one of them two minutes after the one before", async () => {
    const { recording, summary } = await analyzeRecording(plant, {
      columns: { ...columns, level_ft: "bio_1_level" },
      timezone,
    });
    expect(recording).toMatchObject({ rows: 5759, readings: 5759, problems: [], sorted: false });
    // Local stamps, daylight saving: 2010-04-15 00:00 and 2010-04-18 23:59 in UTC−6.
    expect(summary.span).toMatchObject({ start: "2010-04-15T06:00:00.000Z", end: "2010-04-19T05:59:00.000Z" });
  });

  it("has 96 pump runs by the pump's flow, 1 175 minutes in all", async () => {
    // Flow above 10 of its unit; every such stretch counted, and its rows.
    const { cycles, summary } = await analyzeRecording(plant, {
      columns: { ...columns, pump_current_a: "sewage_flow" },
      timezone,
    });
    expect(summary.totals.starts).toBe(96);
    expect(cycles).toHaveLength(96);
    expect(summary.totals.run_s / 60).toBeCloseTo(1175, -1);
    // Median interval of starts 60 min, longest 120 min.
    const rests = cycles.flatMap(({ rest_s, run_s }) => (rest_s === null ? [] : [rest_s + run_s]));
    expect(rests.toSorted((a, b) => a - b)[rests.length >> 1]).toBeCloseTo(3600, -2);
  });

  // One pump fills the two tanks in turn, 96 times in these days: 48 fills, and so falls, of each. (Passages from 5.4 ft
  // down to 5.1 ft on a running median of 9 rows are 44: not every fall goes all that way.)
  it.each(["bio_1_level", "bio_2_level"])("has about 48 falls of %s by the level alone", async (level_ft) => {
    const basin = { startLevel_m: 5.4 * foot_m, stopLevel_m: 5.1 * foot_m };
    const { cycles } = await analyzeRecording(plant, { columns: { ...columns, level_ft }, timezone }, basin);
    expect(cycles.length).toBeGreaterThanOrEqual(48 - 4);
    expect(cycles.length).toBeLessThanOrEqual(48 + 4);
  });
});

describe("an air reservoir that a motor fills between two pressures (10 s)", () => {
  // Upside down, and bar for metres: of no matter to starts, runs and rests.
  const known = [
    ["2020-02-01T00:23:08", 109, null],
    ["2020-02-01T00:57:19", 99, 1942],
    ["2020-02-01T01:30:41", 99, 1903],
    ["2020-02-01T02:04:23", 99, 1923],
    ["2020-02-01T02:37:54", 100, 1912],
  ];

  it("has its five loads at the second by the load signal, which says 1.0 and 0.0", async () => {
    const columns = { time: "timestamp", pump_on: "DV_eletric" };
    const { cycles } = await analyzeRecording(air, { columns, timezone: "UTC" });
    expect(
      cycles.map(({ startedAt_s, run_s, rest_s }) => [
        new Date(startedAt_s * 1000).toISOString().slice(0, 19),
        run_s,
        rest_s,
      ]),
    ).toEqual(known);
  });

  it("has its five motor runs by the current, the last one cut by the end of the file", async () => {
    // Above 2 A: 525, 506, 515, 515 s, and 427 s to the end.
    const columns = { time: "timestamp", pump_current_a: "Motor_current" };
    const { cycles, summary } = await analyzeRecording(air, { columns, timezone: "UTC" });
    expect(summary.totals.starts).toBe(5);
    expect(cycles.map(({ run_s }) => run_s).slice(0, 4)).toEqual([525, 506, 515, 515]);
  });

  it("starts its loads at 8.064 to 8.072 bar", async () => {
    const columns = { time: "timestamp", pump_on: "DV_eletric", level_m: "Reservoirs" };
    const { cycles } = await analyzeRecording(air, { columns, timezone: "UTC" });
    expect(cycles).toHaveLength(5);
    for (const { startLevel_m } of cycles) expect(startLevel_m).toBeCloseTo(8.068, 1);
  });
});
