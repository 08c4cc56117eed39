// A float that lets go for a few seconds in the middle of a run: the rest is too short to say what came in.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "./small-basin.ts";

const pause_s = 6;

/** The small basin; from the tenth cycle on the pump stops for six seconds in every fourth run. */
function interruptedReadings(cycles: number): Reading[] {
  const random = seededRandom(5);
  const readings: Reading[] = [];
  let time_s = startTime_s;
  let level_m = 0.1;
  const pass = (seconds: number, pumpOn: boolean) => {
    for (let i = 0; i < seconds; i += 1, time_s += 1) {
      readings.push(reading(time_s, { level_m: level_m + random.normal(0.001), pumpOn }));
      level_m += (inflow_m3s - (pumpOn ? pumpRate_m3s : 0)) / area_m2;
    }
  };
  for (let cycle = 0; cycle < cycles; cycle += 1) {
    const interrupted = cycle >= 10 && cycle % 4 === 0;
    pass(interrupted ? 194 : 200, false);
    pass(14, true);
    if (interrupted) pass(pause_s, false);
    pass(6, true);
  }
  pass(100, false);
  return readings;
}

describe("a rest of six seconds within a run", () => {
  const { cycles, summary } = analyse(smallSite, interruptedReadings(60));

  it("parts it into two", () => {
    expect(cycles.length).toBe(60 + 12);
  });

  it("leaves the highest minute at what comes in", () => {
    const { lpm = Number.NaN } = summary.inflow.peak["60"] ?? {};
    expect(Math.abs(lpm - 6)).toBeLessThan(0.06);
  });
});
