import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import { sizingReport } from "../../../analysis/paper/sizing-report.ts";
import { paperWords } from "../../../analysis/paper/words.ts";
import { type ReportSummary, reportSchema } from "../../../analysis/report/report.ts";
import type { Site } from "../../../analysis/site.ts";
import type { LoggedRecord } from "../../../analysis/sizing/request.ts";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import type { SizingAnswer } from "../../../analysis/sizing/sizing-answer.ts";
import type { RainStretch } from "../../../analysis/storms/rain.ts";
import { measuredLines } from "../../../daemon/report/sizing-lines.ts";
import { house } from "./house.ts";

const day = 86_400;
const step_s = 300;
const start_s = Date.UTC(2026, 2, 2) / 1000;
const lpm = 1 / 60_000;
const base_m3s = 2 * lpm;
/** Day, hours and depth of three storms. */
const storms = [
  [1.2, 6, 0.018],
  [3.6, 9, 0.034],
  [6.1, 4, 0.012],
] as const;

/** Eight days of 2 L/min, and 45 m² that drain through a reservoir of 40 min. */
function record(): { inflow: InflowStretch[]; rain: RainStretch[] } {
  const inflow: InflowStretch[] = [];
  const rain: RainStretch[] = [];
  let quick_m3s = 0;
  for (let i = 0; i < (8 * day) / step_s; i++) {
    const [from_s, days] = [start_s + i * step_s, (i * step_s) / day];
    const wet = storms.find(([from, hours]) => days >= from && days < from + hours / 24);
    const rain_m = wet === undefined ? 0 : (wet[2] * step_s) / (wet[1] * 3600);
    quick_m3s += (((rain_m / step_s) * 45 - quick_m3s) * step_s) / 2400;
    rain.push({ from_s, to_s: from_s + step_s, rain_m });
    inflow.push({ from_s, to_s: from_s + step_s, inflow_m3s: base_m3s + quick_m3s, uInflow_m3s: 0.02 * lpm });
  }
  return { inflow, rain };
}

const { inflow, rain } = record();
const peak_lpm = Math.max(...inflow.map(({ inflow_m3s }) => inflow_m3s)) / lpm;

function summaryOf(): ReportSummary {
  const iso = (time_s: number) => new Date(time_s * 1000).toISOString();
  const peak = { lpm: peak_lpm, u95_lpm: 0.02 * peak_lpm, at: iso(start_s + 3.9 * day) };
  return {
    schema: reportSchema,
    span: { start: iso(start_s), end: iso(start_s + 8 * day), rows: 691_200, gaps: [] },
    inflow: { mean_lpm: 2.4, mean_u95_lpm: 0.05, peak: { "60": peak, "600": peak, "3600": peak } },
    totals: { starts: 850, run_s: 15_000, pumped_l: 27_000, pumped_u95_l: 500, most_starts_in_an_hour: 14 },
    findings: [],
    sizing: {
      verdict: "adequate",
      required_lpm: 1.5 * peak_lpm,
      static_head_m: 2.8956,
      friction_head_m: 0.1,
      total_dynamic_head_m: 2.9956,
      duty_point: { lpm: 133, head_m: 4.29 },
      margin: 110 / peak_lpm,
    },
  };
}

const logged: LoggedRecord = {
  summary: summaryOf(),
  pumpRate: { flow_m3s: 110 * lpm, uFlow_m3s: 1 * lpm, degreesOfFreedom: Number.POSITIVE_INFINITY },
  inflow,
  rain,
  runningPower_w: 430,
  inflowPerLevel: null,
};
const site: Site = {
  ...house,
  design: { inflowFactor: 1.5, storm: { depth_m: 0.1, duration_s: day, distribution: "nrcs-type-2" } },
};
const answer = sizeBasin({ site, logged, hand: null });

/** The same, of a pump that is watched beside one that is not. */
function withUnwatched(runs: number) {
  const { summary } = logged;
  const totals = { ...summary.totals, unwatched_runs: runs };
  return sizeBasin({ site, logged: { ...logged, summary: { ...summary, totals } }, hand: null });
}

describe("a logged week with its rain", () => {
  it("has its storms, and what comes in between them", () => {
    expect(answer.storms?.map(({ rain_mm }) => Math.round(rain_mm ?? 0))).toEqual([18, 34, 12]);
    expect(answer.freeboard?.cases.find(({ when }) => when === "dry")?.inflow.lpm).toBeCloseTo(2, 1);
  });

  it("sets the wettest hour that was logged against that of the storm to hold", () => {
    const hour = answer.seen?.wettest_hour;
    expect(hour?.lpm).toBeCloseTo(peak_lpm, 9);
    expect(hour?.rain_mm).toBeCloseTo(34 / 9, 6);
    // NRCS type II, half-hour table as in TR-55: 0.735 at 12.5 h less 0.283 at 11.5 h; by minutes a little steeper.
    expect((hour?.expected_rain_mm ?? 0) / 100).toBeCloseTo(0.454, 2);
    expect(hour?.expected?.lpm).toBeLessThanOrEqual(answer.required?.design_storm?.inflow.lpm ?? 0);
    expect(hour?.message).toMatch(
      /^Highest hour of inflow: .* gpm as logged; the storm to hold: .* gpm \(.* to .*\)\. Wettest hour of rain: 0\.149 in as logged; that storm: 1\.\d+ in\.$/,
    );
    const dry = sizeBasin({ site, logged: { ...logged, rain: null }, hand: null }).seen?.wettest_hour;
    expect(dry).toMatchObject({ rain_mm: null, expected: null });
    expect(dry?.message).toMatch(/the storm to hold: not known\. Wettest hour of rain: not logged; that storm: 1/);
    expect(sizeBasin({ site: house, logged, hand: null }).seen?.wettest_hour).toBeNull();
  });

  it("says on paper and on the command line that runs went unwatched, where some did", () => {
    const onPaper = (sized: SizingAnswer) => {
      const input = { answer: sized, site, inflow, madeAt: "2026-03-10T00:00:00Z", version: "1.2.3", invented: false };
      return sizingReport(input).text;
    };
    expect(onPaper(withUnwatched(2))).toContain(
      "Beside these starts the water was drawn down 2 times while the pump was said",
    );
    expect(measuredLines(withUnwatched(1))).toContainEqual(expect.stringContaining("was drawn down once while"));
    expect(onPaper(answer)).not.toContain("was drawn down");
    expect(measuredLines(answer).join()).not.toContain("was drawn down");
  });

  it("gives the energy of a mean cycle beside that of a year", () => {
    // 430 W for 15 000 s in 850 runs.
    expect(answer.pump?.energy_wh_per_cycle).toBeCloseTo((430 * 15_000) / 850 / 3600, 9);
    expect(answer.pump?.energy_kwh_per_year).toBeGreaterThan(0);
  });

  it("takes the greater of allowance and design storm, and says both", () => {
    const { required } = answer;
    expect(required?.allowance?.flow.lpm).toBeCloseTo(1.5 * peak_lpm, 6);
    expect(required?.governs).toBe("design-storm");
    expect(required?.why).toMatch(
      /The design storm governs: it brings more than the measured peak times 1.5, .* gpm; to be expected are .* gpm/,
    );
    const { lpm: expected = 0, low_lpm = 0, high_lpm = 0 } = required?.design_storm?.inflow ?? {};
    expect(required?.flow.lpm).toBeCloseTo(expected, 9);
    expect(low_lpm).toBeLessThan(expected);
    expect(high_lpm).toBeGreaterThan(expected);
  });

  it("carries the storm's range into the rating to be sure of, the verdict and the time to the floor", () => {
    const storm = answer.freeboard?.cases.find(({ when }) => when === "design-storm");
    const { low_lpm = 0, high_lpm = 0 } = answer.required?.design_storm?.inflow ?? {};
    const room_l = storm?.from_start?.volume.l ?? 0;
    expect(storm?.from_start?.time.low_s).toBeCloseTo((60 * room_l) / high_lpm, 6);
    expect(storm?.from_start?.time.high_s).toBeCloseTo((60 * room_l) / low_lpm, 6);
    expect(answer.ask_for?.to_be_sure?.lpm).toBeGreaterThan(answer.ask_for?.lpm ?? Number.POSITIVE_INFINITY);
  });

  it("has the pump as measured, not as published, and its energy by the hours it ran", () => {
    expect(answer.pump).toMatchObject({ moves_by: "measured", input_power_w: 430 });
    expect(answer.pump?.moves?.lpm).toBeCloseTo(110, 9);
    // 430 W · 15 000 s in 8 days, over 365.25 days.
    expect(answer.pump?.energy_kwh_per_year).toBeCloseTo((0.43 * (15_000 / 3600) * 365.25) / 8, 6);
  });

  it("compares pipes with the pump as it is: in its own pipe it moves what was measured there", () => {
    const pipes = answer.pipes;
    const [present, wider] = ["1-1/2 in", "2 in"].map((size) => pipes.find(({ label }) => label.startsWith(size)));
    // Measured in the middle of a run; at the stop level it is a little less.
    expect((present?.duty?.lpm ?? 0) / 110).toBeGreaterThan(0.97);
    expect((present?.duty?.lpm ?? 0) / 110).toBeLessThan(1);
    const share = (wider?.saves?.energy_kwh_per_year ?? 0) / (answer.pump?.energy_kwh_per_year ?? 1);
    expect(share).toBeCloseTo(1 - (present?.duty?.lpm ?? 0) / (wider?.duty?.lpm ?? 1), 9);
    expect(answer.assumptions.join()).toMatch(
      /Worn, clogged, and other sizes of pipe: with the published curve brought through/,
    );
  });

  it("says where the floats really trip, once that is half an inch off the site file", () => {
    const at = (start_m: number) =>
      sizeBasin({
        site,
        logged: { ...logged, trips: { start_m, stop_m: 0.153 } },
        hand: null,
        storm: null,
      }).assumptions.join();
    expect(at(0.33)).toContain(
      "As logged, the pump starts at 13 in and stops at 6.02 in; the site file says 14 in and 6 in",
    );
    expect(at(0.352)).not.toContain("As logged");
  });

  it("says that not enough has been seen, and does not call a verdict sure before it has", () => {
    expect(answer.seen?.enough).toBe(false);
    expect(answer.pump?.verdict).toBe("not-enough-data");
    expect(answer.pump?.message).toContain("enough. That holds for what has been seen, and not enough has been seen");
    expect(answer.missing.some(({ key, what }) => key === "--recording" && what.includes("storm"))).toBe(true);
  });

  it("works off the record for starts: what raising the start level saves is of the days that were logged", () => {
    expect(answer.floats?.raise_start?.at).toBe("record");
    const sum = inflow.reduce(
      (starts, { inflow_m3s: q }) => starts + (q * (1 - q / (110 * lpm)) * step_s) / 0.03336,
      0,
    );
    expect(answer.floats?.raise_start?.starts_per_day).toBeCloseTo(sum / 8, 0);
  });

  it("asks for the rain where a storm is to be held and none was logged", () => {
    const dry = sizeBasin({ site, logged: { ...logged, rain: null }, hand: null });
    expect(dry.required?.governs).toBe("allowance");
    expect(dry.missing.map(({ key }) => key)).toContain("rain_mm, or --rain");
    expect(dry.assumptions.join()).toContain("the rain was not logged");
  });

  it("calls nothing enough while the pump never ran, or while the worst may have come unseen", () => {
    const never = { ...logged.summary, totals: { ...logged.summary.totals, starts: 0 } };
    expect(sizeBasin({ site, logged: { ...logged, summary: never }, hand: null }).pump?.verdict).toBe(
      "not-enough-data",
    );
    const blind = { ...logged.summary, sizing: { ...logged.summary.sizing, required_lpm: null } };
    const unseen = sizeBasin({ site: house, logged: { ...logged, summary: blind }, hand: null });
    expect(unseen).toMatchObject({ required: null, pump: { verdict: "not-enough-data" } });
  });

  it("calls a pump too small that is too small for what was seen already", () => {
    const small = { ...logged, pumpRate: { flow_m3s: 5 * lpm, uFlow_m3s: 0.1 * lpm, degreesOfFreedom: 100 } };
    const { pump } = sizeBasin({ site, logged: small, hand: null });
    expect(pump?.verdict).toBe("undersized");
    expect(pump?.message).not.toContain("has been seen");
  });

  it("takes the pump's rate from the summary where nothing else is at hand, as the page does", () => {
    const { pumpRate: _, ...page } = logged;
    expect(sizeBasin({ site, logged: page, hand: null }).pump).toMatchObject({
      moves_by: "measured",
      moves: { lpm: expect.closeTo(110, 6), u95_lpm: null },
    });
  });
});

describe("a record in which water stood at the rim", () => {
  const summary = summaryOf();
  const peak = {
    ...summary.inflow.peak["600"],
    lpm: peak_lpm,
    u95_lpm: 1,
    at: summary.span.start ?? "",
    at_least: true as const,
  };
  const flooded: LoggedRecord = {
    ...logged,
    summary: {
      ...summary,
      inflow: { ...summary.inflow, mean_at_least: true, peak: { "60": peak, "600": peak, "3600": peak } },
    },
  };
  const answer = sizeBasin({ site, logged: flooded, hand: null });

  it("says of mean, peak and required flow that they are at least so much, on paper and in figures", () => {
    expect(answer.measured?.mean?.at_least).toBe(true);
    expect(answer.measured?.peak["600"]?.at_least).toBe(true);
    expect(answer.required?.flow.at_least).toBe(true);
    expect(paperWords("metric").flow(answer.measured?.mean ?? null)).toMatch(/^at least 2\.4/);
    expect(answer.assumptions.join(" ")).toContain("More may have come in than could be measured");
  });

  it("calls no pump enough, and gives no margin", () => {
    expect(answer.pump?.verdict).toBe("not-enough-data");
    expect(answer.pump?.message).toContain("More may have come in than could be measured");
    expect(answer.pump?.margin).toBeNull();
  });

  it("reckons with the most that came in where that is known", () => {
    const bounded = (at_most_lpm: number): LoggedRecord => ({
      ...logged,
      summary: {
        ...summary,
        inflow: { ...summary.inflow, peak: { ...summary.inflow.peak, "600": { ...peak, at_most_lpm } } },
      },
    });
    const verdict = (at_most_lpm: number) =>
      sizeBasin({ site, logged: bounded(at_most_lpm), hand: null }).pump?.verdict;
    expect(verdict(1.1 * peak_lpm)).toBe(sizeBasin({ site, logged, hand: null }).pump?.verdict);
    // 110 L/min is what the pump moves, 1.5 the allowance.
    expect(verdict(75)).not.toBe("adequate");
    const lines = sizeBasin({ site, logged: bounded(75), hand: null }).assumptions.join(" ");
    expect(lines).toContain("not when in it that came in");
    expect(lines).not.toContain("than could be measured");
  });

  it("says nothing of the kind otherwise", () => {
    const usual = sizeBasin({ site, logged, hand: null });
    expect(usual.measured?.peak["600"]).not.toHaveProperty("at_least");
    expect(usual.required?.flow).not.toHaveProperty("at_least");
  });
});
