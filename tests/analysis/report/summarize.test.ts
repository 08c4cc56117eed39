import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Evidence, Finding } from "../../../analysis/findings/finding.ts";
import { addStretch, newPeaks } from "../../../analysis/inflow/over-time/rolling-peaks.ts";
import { iso, reportCycle, reportFinding, reportFlow, summarize } from "../../../analysis/report/summarize.ts";
import { newTally } from "../../../analysis/report/tally.ts";
import { smallSite } from "../small-basin.ts";

const time_s = Date.parse("2026-03-02T04:05:06.789Z") / 1000;
/** One litre per minute. */
const lpm = 1 / 60_000;

const cycle: Cycle = {
  startedAt_s: time_s,
  stoppedAt_s: time_s + 18.2,
  run_s: 18.2,
  rest_s: 431.0004,
  startLevel_m: 0.3551,
  stopLevel_m: 0.1526,
  inflow: {
    flow_m3s: 4.31 * lpm,
    uFlow_m3s: 0.025 * lpm,
    degreesOfFreedom: Number.POSITIVE_INFINITY,
    method: "fill-slope",
  },
  pumpRate: { flow_m3s: 92 * lpm, uFlow_m3s: lpm, degreesOfFreedom: 10 },
  drainBack_m3: 0.0004,
};

describe("reportCycle", () => {
  it("gives the contract's fields in its units, and no other", () => {
    expect(reportCycle(cycle)).toEqual({
      started_at: "2026-03-02T04:05:06.789Z",
      stopped_at: "2026-03-02T04:05:24.989Z",
      run_s: 18.2,
      rest_s: 431,
      start_level_mm: 355.1,
      stop_level_mm: 152.6,
      inflow: { lpm: 4.31, u95_lpm: 0.0489991, method: "fill-slope" }, // 1.959964 × 0.025
      pump_rate: { lpm: 92, u95_lpm: 2.22814 }, // Student's t of 10 degrees of freedom: 2.228139
      drain_back_l: 0.4,
      running_current_a: null,
      running_current_sd_a: null,
      running_power_w: null,
      running_power_sd_w: null,
      pumps: null,
    });
  });

  it("gives what the motor drew, and which of two pumps ran", () => {
    const pumps = { pump1_s: 18.2, pump2_s: 6.1, both_s: 6.1, rateOf: 1 } as const;
    const runningCurrent = { mean: 6.7512345, standardDeviation: 0.0512345 };
    const runningPower = { mean: 567.1, standardDeviation: null };
    expect(reportCycle({ ...cycle, pumps, runningCurrent, runningPower })).toMatchObject({
      running_current_a: 6.75123,
      running_current_sd_a: 0.0512345,
      running_power_w: 567.1,
      running_power_sd_w: null,
      pumps: { pump1_s: 18.2, pump2_s: 6.1, both_s: 6.1, rate_of: 1 },
    });
  });

  it("says null for all that is unknown", () => {
    const unknown: Cycle = {
      ...cycle,
      rest_s: null,
      startLevel_m: null,
      stopLevel_m: null,
      inflow: null,
      pumpRate: null,
      drainBack_m3: null,
    };
    expect(reportCycle(unknown)).toMatchObject({
      rest_s: null,
      start_level_mm: null,
      stop_level_mm: null,
      inflow: null,
      pump_rate: null,
      drain_back_l: null,
    });
  });
});

describe("reportFlow", () => {
  it("covers 95 % by Student's t: 1.959964 u for a known spread, 12.7062 u from one degree of freedom", () => {
    const flow = { flow_m3s: lpm, uFlow_m3s: lpm };
    expect(reportFlow({ ...flow, degreesOfFreedom: Number.POSITIVE_INFINITY }).u95_lpm).toBe(1.95996);
    expect(reportFlow({ ...flow, degreesOfFreedom: 1 }).u95_lpm).toBe(12.7062);
  });

  it("keeps six significant digits", () => {
    expect(reportFlow({ flow_m3s: lpm / 3, uFlow_m3s: 0, degreesOfFreedom: 5 })).toEqual({ lpm: 0.333333, u95_lpm: 0 });
  });
});

describe("iso", () => {
  it("is UTC with milliseconds, rounded and not cut off", () => {
    expect(iso(0)).toBe("1970-01-01T00:00:00.000Z");
    expect(iso(1_772_409_600.0004)).toBe("2026-03-02T00:00:00.000Z");
    expect(iso(1_772_409_600.9996)).toBe("2026-03-02T00:00:01.000Z");
  });
});

const finding: Finding = {
  kind: "high-water",
  severity: "critical",
  from_s: time_s,
  to_s: null,
  evidence: {},
  message: "See to it.",
};

describe("reportFinding", () => {
  const converted = (evidence: Evidence) => reportFinding({ ...finding, evidence }).evidence;

  it("gives the contract's fields", () => {
    expect(reportFinding({ ...finding, to_s: time_s + 1 })).toEqual({
      kind: "high-water",
      severity: "critical",
      from: "2026-03-02T04:05:06.789Z",
      to: "2026-03-02T04:05:07.789Z",
      evidence: {},
      message: "See to it.",
    });
    expect(reportFinding(finding).to).toBeNull();
  });

  it("turns evidence from SI to the contract's units by the end of its name", () => {
    expect(converted({ level_m: 0.5081, drain_back_m3: 0.0041, inflow_m3s: 30 * lpm, run_s: 12.5 })).toEqual({
      level_mm: 508.1,
      drain_back_l: 4.1,
      inflow_lpm: 30,
      run_s: 12.5,
    });
  });

  it("leaves a moment to the millisecond: six digits of it would be off by an hour", () => {
    expect(converted({ since_s: time_s })).toEqual({ since_s: time_s });
  });

  it("leaves words, truths, plain numbers and what is unknown as they are", () => {
    const evidence = { cause: "float-chatter", high_float: true, starts_in_an_hour: 24, channel: "level" };
    expect(converted(evidence)).toEqual(evidence);
    expect(converted({ level_m: null, inflow_m3s: null })).toEqual({ level_mm: null, inflow_lpm: null });
  });
});

describe("summarize", () => {
  it("says of nothing that nothing is known, and that nothing has started", () => {
    expect(summarize(smallSite, newTally(), newPeaks(), [])).toEqual({
      schema: "undercroft-report/1",
      span: { start: null, end: null, rows: 0, gaps: [] },
      inflow: { mean_lpm: null, mean_u95_lpm: null, peak: { "60": null, "600": null, "3600": null } },
      totals: { starts: 0, run_s: 0, pumped_l: null, pumped_u95_l: null, most_starts_in_an_hour: 0 },
      findings: [],
      sizing: {
        verdict: "not-enough-data",
        required_lpm: null,
        static_head_m: null,
        friction_head_m: null,
        total_dynamic_head_m: null,
        duty_point: null,
        margin: null,
      },
    });
  });

  it("dates a peak by the minute whose height it tells, not by a vaguer one that noise made higher", () => {
    const peaks = newPeaks();
    const minutes: Record<number, readonly [number, number]> = { 3: [10 * lpm, 0.1 * lpm], 20: [12 * lpm, 8 * lpm] };
    for (let i = 0; i < 30; i += 1) {
      const [flow, u] = minutes[i] ?? [4 * lpm, 0.01 * lpm];
      addStretch(peaks, time_s + 60 * i, time_s + 60 * (i + 1), flow, u, i);
    }
    const { peak } = summarize(smallSite, newTally(), peaks, []).inflow;
    expect(peak["60"]).toMatchObject({ lpm: 10, at: iso(time_s + 3.5 * 60) });
  });

  it("gives span, gaps, mean, peaks and totals in the contract's units", () => {
    const tally = newTally();
    Object.assign(tally, { rows: 3600, start_s: time_s, end_s: time_s + 3600, starts: 9, run_s: 180.00004 });
    Object.assign(tally, { pumpSeen: true, pumped_m3: 0.2, measuredRun_s: 120, mostStartsInAnHour: 7 });
    tally.pumpedVariance_m6 = 1e-6; // 1 L of standard uncertainty
    tally.gaps.push({ from_s: time_s + 60, to_s: time_s + 180 });
    const peaks = newPeaks();
    Object.assign(peaks, { totalVolume_m3: 0.24, totalTime_s: 3600, totalVariance_m6: 9e-6, uNewest_m3: 4e-3 });
    peaks.peaks[0] = { inflow_m3s: 31 * lpm, uInflow_m3s: 0.5 * lpm, at_s: time_s + 30 };
    const summary = summarize(smallSite, tally, peaks, []);
    expect(summary.span).toEqual({
      start: "2026-03-02T04:05:06.789Z",
      end: "2026-03-02T05:05:06.789Z",
      rows: 3600,
      gaps: [{ from: "2026-03-02T04:06:06.789Z", to: "2026-03-02T04:08:06.789Z" }],
    });
    // 3 and 4 L of uncertainty make 5 L in an hour.
    expect(summary.inflow).toMatchObject({ mean_lpm: 4, mean_u95_lpm: 0.16333 }); // 1.959964 × 5/60
    expect(summary.inflow.peak).toEqual({
      "60": { lpm: 31, u95_lpm: 0.979982, at: "2026-03-02T04:05:36.789Z" },
      "600": null,
      "3600": null,
    });
    // 200 L in 120 s of measured runs; the other 60 s count at the same rate, and so does the uncertainty: 1.5 L.
    expect(summary.totals).toEqual({
      starts: 9,
      run_s: 180,
      pumped_l: 300,
      pumped_u95_l: 2.93995,
      most_starts_in_an_hour: 7,
    });
  });

  it("has not enough data, and says 'at least', when the water stood over the start level for two minutes without a word of the pump", () => {
    const report = (blind_s: number) => {
      const tally = Object.assign(newTally(), { starts: 5, blind_s });
      tally.pumpRate = { flow_m3s: 90 * lpm, uFlow_m3s: lpm, degreesOfFreedom: 10 };
      const peaks = newPeaks();
      peaks.peaks[1] = { inflow_m3s: 30 * lpm, uInflow_m3s: 0.1 * lpm, at_s: time_s };
      return summarize(smallSite, tally, peaks, []);
    };
    expect(report(120).sizing.verdict).toBe("adequate");
    expect(report(120).inflow.peak["600"]).not.toHaveProperty("at_least");
    expect(report(121).sizing).toMatchObject({ verdict: "not-enough-data", required_lpm: null, margin: null });
    expect(report(121).inflow.peak["600"]).toMatchObject({ lpm: 30, at_least: true });
  });

  it("calls the peaks at least so much, and no pump enough, once water has stood at the rim", () => {
    const report = (overRim_s: number, peak_lpm: number) => {
      const tally = Object.assign(newTally(), { starts: 5, overRim_s });
      tally.pumpRate = { flow_m3s: 90 * lpm, uFlow_m3s: lpm, degreesOfFreedom: 10 };
      const peaks = newPeaks();
      peaks.peaks[1] = { inflow_m3s: peak_lpm * lpm, uInflow_m3s: 0.1 * lpm, at_s: time_s };
      return summarize(smallSite, tally, peaks, []);
    };
    expect(report(20, 30).inflow.peak["600"]).not.toHaveProperty("at_least");
    expect(report(20, 30).sizing.verdict).toBe("adequate");
    expect(report(21, 30).inflow.peak["600"]).toHaveProperty("at_least", true);
    expect(report(21, 30).sizing).toMatchObject({ verdict: "not-enough-data", margin: null });
    expect(report(21, 80).sizing.verdict).toBe("undersized");
  });

  it("lists findings in order of their beginning, those that last among those that ended", () => {
    const tally = newTally();
    tally.endedFindings.push({ ...finding, from_s: time_s + 50, to_s: time_s + 60 });
    const lasting: Finding = { ...finding, kind: "power-lost", from_s: time_s + 10 };
    const { findings } = summarize(smallSite, tally, newPeaks(), [lasting]);
    expect(findings.map(({ kind, to }) => [kind, to])).toEqual([
      ["power-lost", null],
      ["high-water", "2026-03-02T04:06:06.789Z"],
    ]);
  });

  it("sizes the pump by the measured ten minutes and the measured rate", () => {
    const tally = Object.assign(newTally(), { starts: 5 });
    tally.pumpRate = { flow_m3s: 90 * lpm, uFlow_m3s: lpm, degreesOfFreedom: 10 };
    const peaks = newPeaks();
    peaks.peaks[1] = { inflow_m3s: 30 * lpm, uInflow_m3s: 0.1 * lpm, at_s: time_s };
    const { sizing } = summarize(smallSite, tally, peaks, []);
    expect(sizing.verdict).toBe("adequate");
    expect(sizing.required_lpm).toBeCloseTo(45, 9);
    expect(sizing.margin).toBeCloseTo(3, 9);
  });

  it("sizes it by no less than what came in while the pump ran flat out, as the finding does", () => {
    const sized = (least_lpm: number, blind_s = 0) => {
      const tally = Object.assign(newTally(), { starts: 5, blind_s });
      tally.pumpRate = { flow_m3s: 90 * lpm, uFlow_m3s: lpm, degreesOfFreedom: 10 };
      const peaks = newPeaks();
      peaks.peaks[1] = { inflow_m3s: 30 * lpm, uInflow_m3s: 0.1 * lpm, at_s: time_s };
      return summarize(smallSite, tally, peaks, [], undefined, least_lpm * lpm).sizing;
    };
    expect(sized(95)).toMatchObject({ verdict: "undersized", required_lpm: 142.5 });
    expect(sized(20)).toMatchObject({ verdict: "adequate", required_lpm: 45 });
    // Where the worst may have come unseen, a bound that the pump holds is no peak.
    expect(sized(95, 600).verdict).toBe("undersized");
    expect(sized(50, 600)).toMatchObject({ verdict: "not-enough-data", required_lpm: null });
  });
});
