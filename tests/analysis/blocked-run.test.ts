import { describe, expect, it } from "vitest";
import { analyse } from "./analyse.ts";
import {
  area_m2,
  courseAt,
  cycle_s,
  inflow_m3s,
  pumpRate_m3s,
  reading,
  rest_s,
  smallSite,
  startTime_s,
} from "./small-basin.ts";

/** Ten cycles, then a run of twenty minutes in which the water rises slowly until the discharge is free again; ten more. */
const before_s = 10 * cycle_s + rest_s;
const blocked_s = 1200;
const rises_ms = 0.00005;
const freed_s = (0.2 + rises_ms * blocked_s) / 0.01;

function levelAndPump(at_s: number) {
  if (at_s < before_s) return courseAt(at_s);
  const run_s = at_s - before_s;
  if (run_s < blocked_s) return { level_m: 0.3 + rises_ms * run_s, pumpOn: true };
  if (run_s < blocked_s + freed_s)
    return { level_m: 0.3 + rises_ms * blocked_s - 0.01 * (run_s - blocked_s), pumpOn: true };
  return courseAt(run_s - blocked_s - freed_s);
}

describe("what a pump has moved that was blocked for long", () => {
  it.each([1, 3])("is what was there and came in less what was left, read each %i s", (interval_s) => {
    const length_s = before_s + blocked_s + freed_s + 10 * cycle_s;
    const readings = Array.from({ length: Math.floor(length_s / interval_s) }, (_, i) =>
      reading(startTime_s + i * interval_s, levelAndPump(i * interval_s)),
    );
    const { summary } = analyse(smallSite, readings);
    const whileBlocked_m3 = inflow_m3s * blocked_s - area_m2 * rises_ms * blocked_s;
    const moved_m3 = whileBlocked_m3 + pumpRate_m3s * (20 * 20 + freed_s);
    expect((summary.totals.pumped_l ?? Number.NaN) / 1000 / moved_m3).toBeCloseTo(1, 1);
  });
});
