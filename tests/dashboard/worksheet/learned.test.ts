import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { ReportSummary } from "../../../analysis/report/report.ts";
import type { Site } from "../../../analysis/site.ts";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import { learnFrom, recordFor } from "../../../dashboard/worksheet/learned.ts";
import { stormCourses } from "../../../dashboard/worksheet/storm-courses.ts";

const site: Site = {
  name: "Invented house",
  timezone: "UTC",
  displayUnits: "metric",
  basin: {
    geometry: { shape: "rectangular", width_m: 0.5, length_m: 0.4, occupiedArea_m2: 0 }, // 0.2 m²: 1 cm is 2 L
    depth_m: 0.8,
    startLevel_m: 0.4,
    stopLevel_m: 0.2,
    highLevel_m: 0.55,
    overflowLevel_m: 0.8,
  },
  pump: {
    curve: [
      { flow_m3s: 0, head_m: 8 },
      { flow_m3s: 0.002, head_m: 4 },
    ],
    maxStartsPerHour: 20,
    minRun_s: 8,
  },
  discharge: {
    highPoint_m: 3,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6 },
    fittings: [{ kind: "elbow-90", count: 3 }],
  },
  design: { inflowFactor: 1.5 },
};

const flow = (flow_m3s: number) => ({ flow_m3s, uFlow_m3s: flow_m3s / 100, degreesOfFreedom: 20 });
const rate_m3s = 0.0012;
/** 40 L between the floats; 0.1 L/s comes in, 1.2 L/s are pumped. */
const cycles = Array.from({ length: 12 }, (_, i): Cycle => {
  const startedAt_s = 400 + i * 440;
  return {
    startedAt_s,
    stoppedAt_s: startedAt_s + 36,
    run_s: 36,
    rest_s: i === 0 ? null : 404,
    startLevel_m: 0.4,
    stopLevel_m: 0.2,
    inflow: { ...flow(1e-4), method: "fill-slope" },
    pumpRate: flow(rate_m3s),
    drainBack_m3: 0,
    runningPower: { mean: 500, standardDeviation: 5 },
  };
});
const inflow = cycles.map(({ stoppedAt_s }) => ({
  from_s: stoppedAt_s - 440,
  to_s: stoppedAt_s,
  inflow_m3s: 1e-4,
  uInflow_m3s: 1e-6,
}));
const peak = { lpm: 6, u95_lpm: 0.1, at: "1970-01-01T00:30:00.000Z" };
const summary: ReportSummary = {
  schema: "undercroft-report/1",
  span: { start: "1970-01-01T00:00:00.000Z", end: "1970-01-01T01:30:00.000Z", rows: 5000, gaps: [] },
  inflow: { mean_lpm: 6, mean_u95_lpm: 0.1, peak: { "60": peak, "600": peak, "3600": peak } },
  totals: { starts: 12, run_s: 432, pumped_l: 518, pumped_u95_l: 5, most_starts_in_an_hour: 8 },
  pump: {
    curve: [{ level_mm: 300, lift_m: 2.7, lpm: 72, u95_lpm: 1 }],
    expected: [],
    steepness_lpm_per_m: null,
    shortfall_lpm: null,
    shortfall_u95_lpm: null,
    extra_head_m: null,
    extra_head_u95_m: null,
    verdict: "not-enough-data",
    message: "",
  },
  findings: [],
  sizing: {
    verdict: "adequate",
    required_lpm: 9,
    static_head_m: 2.8,
    friction_head_m: 0.1,
    total_dynamic_head_m: 2.9,
    duty_point: null,
    margin: 12,
  },
};

const { logged, known } = learnFrom({ summary, inflow, cycles }, null, site);

describe("what the record teaches", () => {
  it("is what the pump draws and moves, and where its float really trips", () => {
    expect(logged.runningPower_w).toBe(500);
    expect(known.floats?.start_m).toBeCloseTo(0.4, 6);
    expect(known.flows[0]?.[0]?.flow_m3s).toBeCloseTo(rate_m3s, 9); // 72 L/min
  });

  it("counts for the pump and the pipe that were measured, whatever the floats", () => {
    const raised = { ...site, basin: { ...site.basin, startLevel_m: 0.45 } };
    expect(recordFor(logged, site, raised)).toBe(logged);
    const answer = sizeBasin({ site, logged, hand: null });
    expect(answer.pump).toMatchObject({ moves_by: "measured" });
    expect(answer.pump?.moves?.lpm).toBeCloseTo(72, 3);
  });

  it("says nothing of another pump or another pipe, which go by their curve", () => {
    const curve = [
      { flow_m3s: 0, head_m: 10 },
      { flow_m3s: 0.004, head_m: 2 },
    ];
    const otherPump = { ...site, pump: { curve, maxStartsPerHour: 20, minRun_s: 8 } };
    const otherPipe = { ...site, discharge: { ...(site.discharge as NonNullable<Site["discharge"]>), highPoint_m: 4 } };
    for (const tried of [otherPump, otherPipe]) {
      const answer = sizeBasin({ site: tried, logged: recordFor(logged, site, tried), hand: null });
      expect(answer.pump).toMatchObject({ moves_by: "curve" });
      expect(answer.measured?.peak["600"]?.lpm).toBe(6);
    }
  });
});

describe("the storm run again", () => {
  it("sets the installation as it stands beside the one that is tried, with what is known of it", () => {
    const raised = { ...site, basin: { ...site.basin, startLevel_m: 0.5 } };
    const candidates = [
      { name: "as it stands", site },
      { name: "raised", site: raised },
    ];
    const storm = stormCourses(inflow, 1800, candidates, known, 0);
    const [present, tried] = storm?.courses ?? [];
    expect(present?.row.outcome?.highestLevel_m).toBeCloseTo(0.4, 3);
    expect(tried?.row.outcome?.highestLevel_m).toBeCloseTo(0.5, 3);
    expect(present?.row.grounds?.flow).toBe("measured");
    // 60 L in place of 40 between the floats: two thirds of the starts
    expect((tried?.row.outcome?.starts ?? 0) / (present?.row.outcome?.starts ?? 1)).toBeCloseTo(2 / 3, 1);
    expect(present?.course.length).toBeGreaterThan(20);
  });

  it("lets the mains fail at the worst moment", () => {
    // From 0.4 m 80 L of room at 0.1 L/s: after 800 s it runs over; an hour lets 280 L onto the floor, by hand.
    const storm = stormCourses(inflow, 1800, [{ name: "as it stands", site }], known, 3600);
    expect(Math.abs((storm?.courses[0]?.row.outcome?.overflow_m3 ?? 0) * 1000 - 280)).toBeLessThan(4);
  });

  it("is not there where the record does not hold the peak", () => {
    expect(stormCourses(inflow, 1e9, [], null, 0)).toBeNull();
  });
});
