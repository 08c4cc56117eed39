import { describe, expect, it } from "vitest";
import { analyse } from "./analyse.ts";
import { inflow_m3s, reading, rest_s, smallSite, startTime_s } from "./small-basin.ts";

const cycles = 60;
const run_s = 40;
const cycle_s = rest_s + run_s;
/** Not in step with the cycles, and closer than a run is long: the contact sees each. */
const interval_s = 13;

/** In every fifth rest from the thirtieth cycle on two readings in a row, in its middle, are off by these. */
function withWrongLevels(offs_m: readonly [number, number]) {
  const readings = Array.from({ length: Math.floor((cycles * cycle_s) / interval_s) }, (_, i) => {
    const at_s = i * interval_s;
    const phase_s = at_s % cycle_s;
    const pumpOn = phase_s >= rest_s;
    const level_m = pumpOn ? 0.3 - 0.005 * (phase_s - rest_s) : 0.1 + 0.001 * phase_s;
    const cycle = Math.floor(at_s / cycle_s);
    const off_m = cycle >= 30 && cycle % 5 === 0 ? (offs_m[Math.floor(phase_s / interval_s) - 9] ?? 0) : 0;
    return reading(startTime_s + at_s, { level_m: level_m + off_m, pumpOn });
  });
  return analyse(smallSite, readings);
}

describe("two wrong levels in a row, too far apart to tell them from a run, while the contact says that the pump rests", () => {
  it.each([
    [-0.15, -0.18],
    [0.15, 0.28],
    [0.25, 0.09],
  ])("are no run: off by %f and %f m", (first_m, second_m) => {
    const { cycles: found } = withWrongLevels([first_m, second_m]);
    expect(Math.abs(found.length - cycles)).toBeLessThanOrEqual(1);
    for (const { inflow, run_s: ran_s } of found.slice(10)) {
      expect(Math.abs(ran_s - run_s)).toBeLessThan(interval_s);
      // They were told as runs, with up to four times the inflow in the rest after.
      expect(Math.abs((inflow?.flow_m3s ?? inflow_m3s) / inflow_m3s - 1)).toBeLessThan(0.35);
    }
  });
});
