import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { newPeaks } from "../../../analysis/inflow/over-time/rolling-peaks.ts";
import { overAll } from "../../../analysis/report/over-all.ts";
import { cycleBudget, cycleWithBudget, overAllBudget } from "../../../analysis/report/report-budget.ts";
import { reportCycle } from "../../../analysis/report/summarize.ts";
import { newTally } from "../../../analysis/report/tally.ts";

const lpm = 1 / 60_000;
const many = Number.POSITIVE_INFINITY;

const cycle: Cycle = {
  startedAt_s: 1000,
  stoppedAt_s: 1020,
  run_s: 20,
  rest_s: 200,
  startLevel_m: 0.3,
  stopLevel_m: 0.1,
  inflow: {
    flow_m3s: 6 * lpm,
    uFlow_m3s: 0.05 * lpm,
    degreesOfFreedom: many,
    method: "active-volume",
    parts: { "float-repeatability": 0.03 * lpm, timing: 0.04 * lpm },
  },
  pumpRate: null,
  drainBack_m3: null,
};

describe("cycleWithBudget", () => {
  it("is the cycle of the report and, beside it, its flows' budgets in L/min", () => {
    const { budget, ...rest } = cycleWithBudget(cycle);
    expect(rest).toEqual(reportCycle(cycle));
    expect([budget.pump_rate, budget.drain_back]).toEqual([null, null]);
    expect(budget.inflow).toEqual({
      unit: "L/min",
      value: 6,
      u: 0.05,
      degrees_of_freedom: null,
      coverage_factor: 1.95996,
      u95: 0.0979982,
      components: [
        line("float-repeatability", 0.03, 0.979982), // 1.959964 × 0.03 of 6
        line("timing", 0.04, 1.30664),
      ],
    });
  });
});

describe("cycleBudget", () => {
  it("gives of the water that ran back what its basin shares with the pump's rate, and no sum, its noise being unknown", () => {
    const pumpRate = { flow_m3s: 66 * lpm, uFlow_m3s: lpm, degreesOfFreedom: 20, parts: { geometry: 0.66 * lpm } };
    const { drain_back } = cycleBudget({ ...cycle, pumpRate, drainBack_m3: 0.0004 });
    expect(drain_back).toMatchObject({ unit: "L", value: 0.4, u: null, u95: null });
    expect(drain_back?.components).toEqual([{ ...line("geometry", 0.004, 1.95996), shared: true }]);
  });
});

describe("overAllBudget", () => {
  const shared = { geometry: 0.01, calibration: 0 };
  const tally = Object.assign(newTally(), {
    starts: 9,
    run_s: 180,
    pumpSeen: true,
    pumped_m3: 0.2,
    measuredRun_s: 180,
  });
  tally.pumpRate = { flow_m3s: 66 * lpm, uFlow_m3s: 0.33 * lpm, degreesOfFreedom: 19 };
  tally.pumpedVariance_m6 = 1e-6;
  const peaks = Object.assign(newPeaks(), { totalVolume_m3: 0.36, totalTime_s: 3600, uNewest_m3: 0.003 });
  peaks.peaks[1] = { inflow_m3s: 22 * lpm, uInflow_m3s: 0.11 * lpm, at_s: 0 };

  it("adds the errors that all cycles share in full, however small the noise has become", () => {
    const { mean_inflow, peak, pump_rate, pumped } = overAllBudget({ ...overAll(tally, peaks, shared), inputs: [] });
    expect(mean_inflow?.components).toMatchObject([
      { source: "sensor-noise", u: 0.05, shared: false },
      { source: "geometry", u: 0.06, u95_percent: 1.95996, shared: true },
    ]);
    expect(mean_inflow?.u).toBeCloseTo(Math.hypot(0.05, 0.06), 6);
    expect(peak["600"]?.components[1]).toMatchObject({ source: "geometry", u: 0.22 });
    expect([peak["60"], peak["3600"]]).toEqual([null, null]);
    expect(pump_rate?.components[1]).toMatchObject({ source: "geometry", u: 0.66 });
    expect(pumped).toMatchObject({ unit: "L", value: 200, components: [{ u: 1 }, { source: "geometry", u: 2 }] });
  });

  it("leaves them out of the margin of a measured pump over a measured peak: 0.5 % and 0.5 % of 3", () => {
    const { margin } = overAllBudget({ ...overAll(tally, peaks, shared), inputs: [] });
    expect(margin).toMatchObject({ unit: "1", value: 3, components: [{ source: "sensor-noise" }] });
    expect(margin?.u).toBeCloseTo(3 * 0.005 * Math.SQRT2, 6);
    expect(overAll(Object.assign(newTally(), { starts: 1 }), peaks, shared).margin).toBeNull();
  });

  it("tells floats from timing as the newest cycle does, where no level shows the inflow", () => {
    const levelless = Object.assign(newTally(), { recentCycles: [{ ...cycle, inflow: null }, cycle] });
    levelless.pumpRate = { flow_m3s: 66 * lpm, uFlow_m3s: 0, degreesOfFreedom: many };
    const { mean_inflow, margin } = overAllBudget({ ...overAll(levelless, peaks, shared), inputs: [] });
    // 0.5 % of 3, by 3 : 4 : 5.
    expect(margin?.components).toMatchObject([
      { source: "float-repeatability", u: 0.009 },
      { source: "timing", u: 0.012 },
    ]);
    expect(mean_inflow?.components).toMatchObject([
      { source: "geometry" },
      { source: "float-repeatability", u: 0.03 },
      { source: "timing", u: 0.04 },
    ]);
  });

  it("is null of what is not known", () => {
    const { mean_inflow, pump_rate, pumped, margin } = overAllBudget({
      ...overAll(newTally(), newPeaks(), shared),
      inputs: [],
    });
    expect([mean_inflow, pump_rate, pumped, margin]).toEqual([null, null, null, null]);
  });
});

function line(source: string, u: number, u95_percent: number) {
  return { source, type: "B", u, u95_percent, degrees_of_freedom: null, shared: false };
}
