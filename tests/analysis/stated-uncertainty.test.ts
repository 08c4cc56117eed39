// What a site file states of its basin and its instruments, through the whole analysis to every figure of the report.

import { describe, expect, it } from "vitest";
import { cycleBudget, overAllBudget, type ReportBudget } from "../../analysis/report/report-budget.ts";
import { reportCycle } from "../../analysis/report/summarize.ts";
import type { MeasurementSite, Site } from "../../analysis/site.ts";
import { normalQuantile } from "../../analysis/statistics/normal-quantile.ts";
import { flowBudget } from "../../analysis/uncertainty/budget.ts";
import { analyse } from "./analyse.ts";
import { courseReadings, reading, smallSite, startTime_s } from "./small-basin.ts";

/** Half-width of a 95 % interval to standard uncertainty. */
const u = (halfWidth: number) => halfWidth / normalQuantile(0.975);

function stating(stated: Partial<MeasurementSite>, basin: Partial<Site["basin"]> = {}): Site {
  const nothing = { uGeometry: null, uLevelSpan: null, uLevelZero_m: null, uFloatLevels_m: null };
  const measurement = { ...nothing, uFloatRepeatability_m: null, uEdge_s: null, ...stated };
  return { ...smallSite, basin: { ...smallSite.basin, ...basin }, measurement };
}

const random = seeded(7);
const noise = (size_m: number) => () => 2 * size_m * (random() + random() + random() - 1.5);
/** Two hours of a level that is next to free of noise: what is uncertain is what is stated. */
const smooth = courseReadings(7200, { noise: noise(1e-5) });
const noisy = courseReadings(7200, { noise: noise(1e-3) });
const contactOnly = smooth.map((reading) => ({ ...reading, level_m: null }));

describe("a geometry stated to 2 %", () => {
  const { cycles, summary, situation, figures, said } = analyse(stating({ uGeometry: u(0.02) }), smooth);

  it("shows as 2 % in the inflow and the rate of every cycle", () => {
    expect(cycles.length).toBeGreaterThan(25);
    for (const cycle of cycles) {
      const { inflow, pump_rate } = cycleBudget(cycle);
      for (const budget of [inflow, pump_rate]) {
        if (budget !== null) expect(percentOf(budget, "geometry")).toBeCloseTo(2, 4);
      }
      const reported = reportCycle(cycle);
      if (reported.inflow !== null) expectTwoPercent(reported.inflow.u95_lpm, reported.inflow.lpm);
      if (reported.pump_rate !== null) expectTwoPercent(reported.pump_rate.u95_lpm, reported.pump_rate.lpm);
    }
  });

  it("shows as 2 % in mean, peaks and total, however many cycles stand behind them", () => {
    expectTwoPercent(summary.inflow.mean_u95_lpm, summary.inflow.mean_lpm);
    for (const peak of Object.values(summary.inflow.peak)) expectTwoPercent(peak?.u95_lpm, peak?.lpm);
    // What ran back unseen and was lifted again comes on top of it.
    const { pumped } = overAllBudget(figures);
    const seen = Math.hypot(percentOf(pumped, "geometry"), percentOf(pumped, "returned-water"));
    const { pumped_u95_l, pumped_l } = summary.totals;
    expect((100 * (pumped_u95_l ?? Number.NaN)) / (pumped_l ?? Number.NaN)).toBeCloseTo(seen, 1);
  });

  it("shows as 2 % in the figures of the moment, and in each stretch of inflow", () => {
    for (const estimate of [situation.inflow, situation.pumpRate]) {
      expectTwoPercent(estimate && flowBudget(estimate).u95, estimate?.flow_m3s);
    }
    for (const { inflow_m3s, uInflow_m3s } of said.inflow) expectTwoPercent(1.96 * uInflow_m3s, inflow_m3s);
  });

  it("is named in the budgets, and cancels in the margin of a measured pump over a measured peak", () => {
    const budget = overAllBudget(figures);
    for (const figure of [budget.mean_inflow, budget.peak["600"], budget.pump_rate, budget.pumped]) {
      expect(percentOf(figure, "geometry")).toBeCloseTo(2, 9);
    }
    expect(budget.margin?.value).toBeCloseTo(11, 1);
    expect((budget.margin?.u95 ?? 1) / 11).toBeLessThan(0.005);
  });

  it("changes no figure and no finding", () => {
    const without = analyse(smallSite, smooth);
    expect(cycles.map(({ inflow }) => inflow?.flow_m3s)).toEqual(without.cycles.map(({ inflow }) => inflow?.flow_m3s));
    expect(summary.findings).toEqual(without.summary.findings);
    expect(summary.sizing).toEqual(without.summary.sizing);
  });
});

describe("a level's span stated to 2 %", () => {
  it("shows as 2 % under calibration, beside a noise that averages away", () => {
    const { cycles, figures } = analyse(stating({ uLevelSpan: u(0.02) }), noisy);
    const { mean_inflow } = overAllBudget(figures);
    expect(percentOf(mean_inflow, "calibration")).toBeCloseTo(2, 9);
    expect(percentOf(mean_inflow, "geometry")).toBe(0);
    const ofOne = cycles.map(({ inflow }) => inflow && flowBudget(inflow)).filter((budget) => budget !== null);
    const noise = Math.max(...ofOne.map(({ lines, value }) => (lines[0]?.u95 ?? 0) / value));
    expect(percentOf(mean_inflow, "sensor-noise")).toBeLessThan((100 * noise) / 3); // thirty cycles and more
  });
});

describe("nothing stated", () => {
  it("leaves all of an inflow to the noise where a level is read, and of a pump rate all but when it was up to speed", () => {
    const { cycles, figures } = analyse(smallSite, noisy);
    for (const { inflow, pumpRate } of cycles) {
      expect(inflow?.parts).toBeUndefined();
      expect(Object.keys(pumpRate?.parts ?? {})).toEqual(["timing"]);
    }
    const { mean_inflow } = overAllBudget(figures);
    expect(mean_inflow?.components.map(({ source }) => source)).toEqual(["sensor-noise"]);
  });

  it("leaves floats and timing where none is read: 4 mm at either trip over 1000 cm² in 200 s, and a second at either edge", () => {
    const { cycles } = analyse(smallSite, contactOnly);
    const { parts = {}, uFlow_m3s } = cycles[3]?.inflow ?? {};
    expect(parts["float-repeatability"]).toBeCloseTo((0.004 * Math.SQRT2 * 0.1) / 200, 12);
    expect(parts.timing).toBeCloseTo((1e-4 * (1 / Math.sqrt(6))) / 200, 12);
    expect(uFlow_m3s).toBeCloseTo(Math.hypot(parts["float-repeatability"] ?? 0, parts.timing ?? 0), 15);
  });
});

describe("a level that is read", () => {
  it("teaches how the float repeats: trips that scatter by 2 mm", () => {
    const { figures } = analyse(smallSite, scatteredTrips(0.002));
    const learned = figures.inputs.find(({ origin }) => origin === "learned");
    expect(learned?.key).toBe("measurement.float_repeatability");
    expect(learned?.u).toBeGreaterThan(0.0013);
    expect(learned?.u).toBeLessThan(0.0027);
  });
});

describe("without a level", () => {
  it("counts what is assumed of the floats in full in the mean, and what is stated of them by its scatter", () => {
    const floats = (site: Site) =>
      percentOf(overAllBudget(analyse(site, contactOnly).figures).mean_inflow, "float-repeatability");
    expect(floats(smallSite)).toBeGreaterThan((100 * 1.96 * 0.004 * Math.SQRT2) / 0.2);
    // Of thirty-odd rests, the scatter of one over some √30, a little more for the runs between them.
    expect(floats(stating({ uFloatRepeatability_m: 0.004 }))).toBeLessThan((100 * 1.96 * 0.004 * Math.SQRT2) / 0.2 / 4);
  });

  it("takes the float's repeatability and the edges' timing as stated", () => {
    const { cycles } = analyse(stating({ uFloatRepeatability_m: 0.001, uEdge_s: 0.5 }), contactOnly);
    const { parts = {} } = cycles[3]?.inflow ?? {};
    expect(parts["float-repeatability"]).toBeCloseTo((0.001 * Math.SQRT2 * 0.1) / 200, 12);
    expect(parts.timing).toBeCloseTo((1e-4 * Math.hypot(1 / Math.sqrt(6), 0.5 * Math.SQRT2)) / 200, 12);
  });

  it("goes by the active volume that a bucket measured, to its own 2 %, though start and stop are not known", () => {
    const bucket = { volume_m3: 0.022, uVolume_m3: u(0.02) * 0.022 };
    const site = stating({}, { startLevel_m: null, stopLevel_m: null, activeVolume: bucket });
    const { cycles, summary, figures } = analyse(site, contactOnly);
    expect(cycles[3]?.inflow?.flow_m3s).toBeCloseTo(0.022 / 200, 9);
    expect(cycles[3]?.inflow?.method).toBe("active-volume");
    expect(summary.inflow.mean_lpm).toBeCloseTo(6.6, 6);
    const budget = overAllBudget(figures);
    for (const figure of [budget.mean_inflow, budget.peak["60"], budget.pump_rate, budget.pumped]) {
      expect(percentOf(figure, "calibration")).toBeCloseTo(2, 9);
      expect(percentOf(figure, "geometry")).toBe(0);
    }
  });

  it("trusts a log of events as far as its timing is stated", () => {
    const events = contactOnly.filter(({ pumpOn }, i) => pumpOn !== contactOnly[i - 1]?.pumpOn);
    const timing = (site: Site) => analyse(site, events).cycles.at(-1)?.inflow?.parts?.timing ?? Number.NaN;
    expect(timing(stating({ uEdge_s: 0.1 })) / timing(smallSite)).toBeCloseTo(
      (0.1 * Math.SQRT2) / (1 / Math.sqrt(6)),
      6,
    );
  });
});

/** The sensor's steps and edges add a little to it. */
function expectTwoPercent(u95: number | null | undefined, value: number | null | undefined): void {
  const percent = (100 * (u95 ?? Number.NaN)) / (value ?? Number.NaN);
  expect(percent).toBeGreaterThan(1.9999);
  expect(percent).toBeLessThan(2.1);
}

/** The course of the small basin, read every second, with floats that trip normally distributed about their levels. */
function scatteredTrips(sd_m: number) {
  const gauss = () => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random());
  const readings = [];
  let [level_m, pumpOn, trip_m] = [0.1, false, 0.3];
  for (let second = 0; second < 14_400; second++) {
    readings.push(reading(startTime_s + second, { level_m: level_m + 0.0002 * gauss(), pumpOn }));
    level_m += pumpOn ? -0.01 : 0.001;
    if (pumpOn ? level_m > trip_m : level_m < trip_m) continue;
    pumpOn = !pumpOn;
    trip_m = (pumpOn ? 0.1 : 0.3) + sd_m * gauss();
  }
  return readings;
}

/** 0 where the budget has no such line; NaN without a budget. */
function percentOf(budget: ReportBudget | null, source: string): number {
  if (budget === null) return Number.NaN;
  return budget.components.find((line) => line.source === source)?.u95_percent ?? 0;
}

/** A multiplicative generator (Park and Miller): the same noise in every run. */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}
