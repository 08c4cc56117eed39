import { describe, expect, it } from "vitest";
import type { ReportPumpCurve } from "../../../analysis/report/report.ts";
import { pumpCurveInWords } from "../../../daemon/report/pump-curve-in-words.ts";
import { smallSite } from "../../analysis/small-basin.ts";

const pump: ReportPumpCurve = {
  curve: [
    { level_mm: 100, lift_m: 2.9, lpm: 64, u95_lpm: 1.234 },
    { level_mm: 300, lift_m: 2.7, lpm: 68, u95_lpm: 1.2 },
  ],
  expected: [],
  steepness_lpm_per_m: null,
  shortfall_lpm: 8,
  shortfall_u95_lpm: 1,
  extra_head_m: 0.9,
  extra_head_u95_m: 0.1,
  verdict: "less-than-published",
  message: "It moves less.",
};

describe("pumpCurveInWords", () => {
  it("says what the pump moves at the highest and the lowest level, and what fits", () => {
    expect(pumpCurveInWords(pump, { ...smallSite, displayUnits: "metric" })).toEqual([
      "learned from its runs: 68 L/min (18 gpm) ± 1.2 L/min with the water at 300 mm (11.8 in)",
      "  and 64 L/min (16.9 gpm) ± 1.2 L/min with the water at 100 mm (3.94 in)",
      "It moves less.",
    ]);
  });

  it("speaks in the units of the site", () => {
    expect(pumpCurveInWords(pump, { ...smallSite, displayUnits: "us" })[0]).toBe(
      "learned from its runs: 18 gpm (68 L/min) ± 0.32 gpm with the water at 11.8 in (300 mm)",
    );
  });

  it("keeps quiet on what is not known yet", () => {
    expect(pumpCurveInWords({ ...pump, verdict: "not-enough-data" }, smallSite)).toHaveLength(2);
    expect(pumpCurveInWords({ ...pump, verdict: "not-enough-data", curve: [] }, smallSite)).toEqual([]);
  });
});
