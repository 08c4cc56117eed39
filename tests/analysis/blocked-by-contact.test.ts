import { expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { analyse, finalCycles } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const [blockedFrom_h, clearedAt_h, hours] = [6, 24, 32];
const inflow_m3s = 1e-4;

/** Each second the contact alone, of a pump that moves a fifth while its discharge is frozen. */
function frozenOvernight(): Reading[] {
  const readings: Reading[] = [];
  let [level_m, on] = [0.2, false];
  for (let t = 0; t < hours * 3600; t += 1) {
    if (level_m >= 0.3) on = true;
    else if (level_m <= 0.1) on = false;
    const blocked = t >= blockedFrom_h * 3600 && t < clearedAt_h * 3600;
    level_m += (inflow_m3s - (on ? (blocked ? 0.2 : 1) * 1.1e-3 : 0)) / area_m2;
    readings.push(reading(startTime_s + t, { pumpOn: on }));
  }
  return readings;
}

it("believes a pump again once its discharge is free, by the contact alone", () => {
  const { said, summary } = analyse(smallSite, frozenOvernight());
  const after = finalCycles(said).filter(({ startedAt_s }) => startedAt_s > startTime_s + (clearedAt_h + 0.5) * 3600);
  expect(after.length).toBeGreaterThan(15);
  // The last one ends with the recording.
  expect(after.slice(0, -1).filter(({ inflow, pumpRate }) => inflow === null || pumpRate === null)).toEqual([]);
  const [blocked, ...others] = summary.findings;
  expect([blocked?.kind, others]).toEqual(["discharge-blocked", []]);
  expect(Date.parse(blocked?.to ?? "") / 1000 - startTime_s).toBeLessThan((clearedAt_h + 1) * 3600);
});

it.each([
  [9, 4],
  [12, 6],
])(
  "counts as pumped what a discharge blocked to %i L/min for an hour let through of %i, by the contact alone",
  (blocked_lpm, inflow_lpm) => {
    const readings: Reading[] = [];
    let [level_m, on, pumped_l] = [0.2, false, 0];
    for (let t = 0; t < 8 * 3600; t += 1) {
      if (level_m >= 0.3) on = true;
      else if (level_m <= 0.1) on = false;
      const pump_lpm = on ? (t >= 4 * 3600 && t < 5 * 3600 ? blocked_lpm : 66) : 0;
      pumped_l += pump_lpm / 60;
      level_m += (inflow_lpm - pump_lpm) / 60_000 / area_m2;
      readings.push(reading(startTime_s + t, { pumpOn: on }));
    }
    expect(Math.abs((analyse(smallSite, readings).summary.totals.pumped_l ?? 0) / pumped_l - 1)).toBeLessThan(0.04);
  },
);
