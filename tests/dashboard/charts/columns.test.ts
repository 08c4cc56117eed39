import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { inflowColumns, levelColumns, pumpMarks } from "../../../dashboard/charts/columns.ts";

describe("columns of the level", () => {
  it("stand in the middle of their bucket, in the reader's unit", () => {
    const series = {
      bucket_s: 10,
      time_s: [100, 110],
      minimum_m: [0.1, 0.2],
      maximum_m: [0.3, 0.4],
      mean_m: [0.2, 0.3],
    };
    expect(levelColumns(series, "metric")).toEqual([
      [105, 115],
      [10, 20],
      [30, 40],
      [20, 30],
    ]);
  });

  it("leave a hole where buckets are missing", () => {
    const column = [0.1, 0.1];
    const series = { bucket_s: 10, time_s: [100, 200], minimum_m: column, maximum_m: column, mean_m: column };
    const [time, low] = levelColumns(series, "metric");
    expect(time).toEqual([105, 155, 205]);
    expect(low).toEqual([10, null, 10]);
  });

  it("leave a hole in single readings only when they fall silent", () => {
    const time_s = [0, 1, 2, 3, 300, 301];
    const column = time_s.map(() => 0.1);
    const series = { bucket_s: 0, time_s, minimum_m: column, maximum_m: column, mean_m: column };
    expect(levelColumns(series, "metric")[1]).toEqual([10, 10, 10, 10, null, 10, 10]);
  });
});

describe("columns of the inflow", () => {
  it("are level over a stretch, with the 95 % interval around", () => {
    // 1 L/min = 1/60000 m³/s; 1.96 × 0.1 L/min.
    const [time, flow, low, high] = inflowColumns(
      [{ from_s: 0, to_s: 60, inflow_m3s: 1 / 60_000, uInflow_m3s: 0.1 / 60_000 }],
      "metric",
    );
    expect(time).toEqual([0, 60]);
    expect(flow?.[0]).toBeCloseTo(1, 12);
    expect(low?.[1]).toBeCloseTo(0.804, 12);
    expect(high?.[1]).toBeCloseTo(1.196, 12);
  });

  it("leave a hole between stretches that do not touch", () => {
    const one = { inflow_m3s: 1e-5, uInflow_m3s: 1e-7 };
    const columns = inflowColumns(
      [
        { ...one, from_s: 0, to_s: 60 },
        { ...one, from_s: 100, to_s: 160 },
      ],
      "metric",
    );
    expect(columns[0]).toEqual([0, 60, 80, 100, 160]);
    expect(columns[1]?.[2]).toBeNull();
  });
});

describe("marks of the pump", () => {
  const cycle = (startedAt_s: number, lpm: number | null): Cycle => ({
    startedAt_s,
    stoppedAt_s: startedAt_s + 20,
    run_s: 20,
    rest_s: null,
    startLevel_m: null,
    stopLevel_m: null,
    inflow: null,
    pumpRate: lpm === null ? null : { flow_m3s: lpm / 60_000, uFlow_m3s: 1 / 60_000, degreesOfFreedom: 1e9 },
    drainBack_m3: null,
  });

  it("show a lone run with its own interval", () => {
    const [mark] = pumpMarks([cycle(100, 90)], 1000, "metric");
    expect(mark?.time_s).toBe(110);
    expect(mark?.rate).toBeCloseTo(90, 9);
    expect(mark?.low).toBeCloseTo(88.04, 2);
    expect(mark?.high).toBeCloseTo(91.96, 2);
  });

  it("show how far the runs of a group lie apart, oldest group first", () => {
    const marks = pumpMarks([cycle(1300, 95), cycle(200, 80), cycle(100, 90), cycle(50, null)], 1000, "metric");
    expect(marks.map(({ rate }) => Math.round(rate))).toEqual([85, 95]);
    expect(marks[0]?.low).toBeCloseTo(80, 9);
    expect(marks[0]?.high).toBeCloseTo(90, 9);
  });
});
