// Levels that instruments recorded where no pump runs, clean and faulty: what must be seen, and what must not.

import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type Analyzed, analyzeRecording, foot_m } from "./analyze-recording.ts";

const fixtures = join(import.meta.dirname, "../fixtures");
const kinds = ({ summary }: Analyzed) => summary.findings.map(({ kind }) => kind);

describe("a week of a pressure transducer in a well (2 min)", () => {
  it("has no pump cycle and no finding", async () => {
    const columns = { time: "datetime_utc", level_m: "wl_dbar" };
    const analyzed = await analyzeRecording(join(fixtures, "well-2min.csv.gz"), { columns, timezone: "UTC" });
    expect(analyzed.recording).toMatchObject({ rows: 5040, problems: [], unknownColumns: ["baro_dbar", "earthtide"] });
    expect(analyzed.summary.totals.starts).toBe(0);
    expect(kinds(analyzed)).toEqual([]);
  });
});

describe("two weeks of a clean ultrasonic sensor over a stream (10 min)", () => {
  it("has no sensor fault, although 604 of its values repeat the one before, and no pump cycle", async () => {
    const columns = { time: "", level_mm: "Value" };
    const analyzed = await analyzeRecording(join(fixtures, "river-steady-10min.csv.gz"), { columns });
    expect(analyzed.recording).toMatchObject({ rows: 2016, readings: 2016, problems: [] });
    expect(kinds(analyzed)).not.toContain("sensor-fault");
    expect(analyzed.summary.totals.starts).toBe(0);
  });
});

describe("three weeks of an obstructed ultrasonic sensor (10 min)", () => {
  it("has sensor faults: half of its depths are negative and 202 lie 50 mm off the median of 11", async () => {
    const columns = { time: "", level_mm: "Value" };
    const analyzed = await analyzeRecording(join(fixtures, "river-obstructed-10min.csv.gz"), { columns });
    expect(analyzed.recording).toMatchObject({ rows: 3004, readings: 3004, problems: [] });
    expect(kinds(analyzed)).toContain("sensor-fault");
  });
});

describe("six weeks of a buried stormwater basin (5 min)", () => {
  // The owner's published peaks of events 17123, 17129, 17130, 17131, in ft, and, counted from the raw rows, the time
  // from the first row at or above 0.5 ft to the first one below it.
  const storms = [
    [2.4198, "2018-01-12T15:50:00Z", "2018-01-13T04:25:00Z"],
    [1.2857, "2018-02-04T23:05:00Z", "2018-02-05T05:45:00Z"],
    [1.3305, "2018-02-07T18:55:00Z", "2018-02-08T03:10:00Z"],
    [1.5088, "2018-02-11T06:55:00Z", "2018-02-12T02:15:00Z"],
  ] as const;

  it("rises over a high level of 0.5 ft in its four storms and at no other time, and is never pumped", async () => {
    const options = { columns: { time: "dtime_est" }, timezone: "-05:00" };
    const basin = { depth_m: 4 * foot_m, highLevel_m: 0.5 * foot_m };
    const analyzed = await analyzeRecording(join(fixtures, "buried-basin-5min.csv.gz"), options, basin);
    expect(analyzed.recording).toMatchObject({ rows: 12_544, problems: [] });
    expect(analyzed.summary.totals.starts).toBe(0);
    const high = analyzed.summary.findings.filter(({ kind }) => kind === "high-water");
    expect(high).toHaveLength(storms.length);
    for (const [n, [peak_ft, from, to]] of storms.entries()) {
      const finding = high[n];
      // To two rows: the finding wants a row to confirm it.
      expect(Math.abs(Date.parse(finding?.from ?? "") - Date.parse(from))).toBeLessThanOrEqual(600_000);
      expect(Math.abs(Date.parse(finding?.to ?? "") - Date.parse(to))).toBeLessThanOrEqual(600_000);
      const ratio = Number(finding?.evidence.highest_level_mm) / (peak_ft * foot_m * 1000);
      expect(Math.abs(ratio - 1)).toBeLessThan(0.02);
    }
  });
});
