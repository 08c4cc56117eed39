// Two pumps of known truth, recorded and replayed from what their runs taught: no curve is given.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import type { Site } from "../../../analysis/site.ts";
import { joinInflow } from "../../../analysis/whatif/join-inflow.ts";
import { listenToRecording } from "../../../analysis/whatif/learn-recorded.ts";
import { batteryAsUsual, type WhatIfPlan } from "../../../analysis/whatif/plan.ts";
import { whatIf } from "../../../analysis/whatif/what-if.ts";
import { playTwoPumps, twoPumpSite } from "../../scenarios/two-pump-basin.ts";

const duty = { curve: null, maxStartsPerHour: 40, minRun_s: 5, name: "Main" };
const site: Site = {
  ...twoPumpSite,
  pump: duty,
  pumps: [duty, { curve: null, maxStartsPerHour: 40, minRun_s: null, name: "Standby", startLevel_m: 0.4 }],
};
const asItIs: WhatIfPlan = {
  name: "as it is",
  site,
  takesTurns: null,
  cuts: [],
  onBattery: batteryAsUsual,
  groundHead_m: null,
};

function recorded(takeTurns: boolean) {
  const { readings, truth } = playTwoPumps({
    hours: 4,
    inflow_m3s: (after_s) => (after_s > 5400 && after_s < 8000 ? 1.8e-3 : 2e-4),
    flow_m3s: (pump) => (pump === 1 ? 1.5e-3 : 1.2e-3),
    together: 0.9,
    trips_m: [
      [0.3, 0.1],
      [0.4, 0.1],
    ],
    takeTurns,
  });
  const listener = listenToRecording(site);
  const analyzer = createAnalyzer(site, { sink: listener.sink });
  let highest_m = 0;
  for (const reading of readings) {
    analyzer.push(reading);
    highest_m = Math.max(highest_m, reading.level_m ?? 0);
  }
  analyzer.finish();
  const { stretches } = joinInflow(listener.course().inflow);
  const known = listener.known(analyzer.summary());
  const play = (plan: WhatIfPlan) => whatIf(plan, stretches, known, { firstLevel_m: 0.15 });
  return { truth, highest_m, known, play };
}

describe("two pumps, replayed", () => {
  it.each([
    ["a standby that helps in a storm", false],
    ["two that take turns", true],
  ])("come out as they ran: %s", (_, takeTurns) => {
    const { truth, highest_m, known, play } = recorded(takeTurns);
    const { outcome } = play(asItIs);
    expect(known.takesTurns).toBe(takeTurns);
    expect(Math.abs((outcome?.highestLevel_m ?? 0) - highest_m)).toBeLessThan(0.006);
    outcome?.pumps.forEach(({ starts, run_s }, i) => {
      const was = truth.pumps[i];
      // one start more or less: when the storm ends, the standby may just have begun to help, or be about to
      expect(Math.abs(starts - (was?.starts ?? 0))).toBeLessThanOrEqual(Math.max(1, 0.04 * (was?.starts ?? 0)));
      expect(Math.abs(run_s / (was?.run_s ?? 1) - 1)).toBeLessThan(0.06); // whose turn the storm falls on
    });
  });

  it("says what would have happened with the standby away", () => {
    const { play } = recorded(false);
    const { pumps: _, ...one } = site;
    const { outcome } = play({ ...asItIs, site: one });
    // 1.8 L/s against 1.5: 43 minutes of 0.3 L/s are far more than the 84 L of room
    expect(outcome?.overflow_m3).toBeGreaterThan(0.5);
    expect(outcome?.highestLevel_m).toBe(0.8);
  });
});
