import { describe, expect, it } from "vitest";
import { analyse } from "./analyse.ts";
import { courseAt, cycle_s, inflow_m3s, reading, rest_s, smallSite, startTime_s } from "./small-basin.ts";

/** Forty cycles, then a run that goes on for an hour after the water is down to 50 mm; thirty more. */
const before_s = 40 * cycle_s + rest_s;
const falls_s = 25;
const stands_s = 3600;
const fills_s = 50;
const back_s = before_s + falls_s + stands_s + fills_s;

function levelAndPump(at_s: number) {
  if (at_s < before_s) return courseAt(at_s);
  if (at_s < before_s + falls_s) return { level_m: 0.3 - 0.01 * (at_s - before_s), pumpOn: true };
  if (at_s < back_s - fills_s) return { level_m: 0.05 + 0.001 * Math.sin(at_s), pumpOn: true };
  if (at_s < back_s) return { level_m: 0.1 - 0.001 * (back_s - at_s), pumpOn: false };
  return courseAt(at_s - back_s);
}

describe("a pump that does not stop, read too seldom for its contact to time the runs", () => {
  it("runs as long as its contact says, and what comes in meanwhile is no slow rest", () => {
    // Not in step with the cycles.
    const interval_s = 13;
    const readings = Array.from({ length: Math.floor((back_s + 30 * cycle_s) / interval_s) }, (_, i) =>
      reading(startTime_s + i * interval_s, levelAndPump(i * interval_s)),
    );
    const { cycles, summary } = analyse(smallSite, readings);
    const long = cycles.filter(({ run_s }) => run_s > 300);
    expect(long).toHaveLength(1);
    expect(Math.abs((long[0]?.run_s ?? 0) - falls_s - stands_s)).toBeLessThan(2 * interval_s);
    for (const { inflow } of cycles) expect((inflow?.flow_m3s ?? inflow_m3s) / inflow_m3s).toBeGreaterThan(0.9);
    expect((summary.inflow.mean_lpm ?? 0) / 6).toBeCloseTo(1, 1);
  });
});
