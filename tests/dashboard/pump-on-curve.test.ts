import { describe, expect, it } from "vitest";
import type { ReportPumpCurve } from "../../analysis/report/report.ts";
import { onCurveWords } from "../../dashboard/pump-on-curve.ts";

const pump: ReportPumpCurve = {
  curve: [100, 200, 300].map((level_mm) => ({ level_mm, lift_m: null, lpm: 85, u95_lpm: 1 })),
  expected: [100, 200, 300].map((level_mm) => ({ level_mm, lpm: 100, head_m: 4 })),
  steepness_lpm_per_m: null,
  shortfall_lpm: 15,
  shortfall_u95_lpm: 1,
  extra_head_m: 0.9,
  extra_head_u95_m: 0.1,
  verdict: "less-than-published",
  message: "It moves less.",
};

describe("onCurveWords", () => {
  it("say by how much the pump is off its curve", () => {
    expect(onCurveWords(pump)).toBe("15 % less than its curve");
    const more = pump.curve.map((point) => ({ ...point, lpm: 120 }));
    expect(onCurveWords({ ...pump, curve: more, verdict: "more-than-published" })).toBe("20 % more than its curve");
  });

  it("keep quiet where it is as the curve says, and where little is known", () => {
    expect(onCurveWords({ ...pump, verdict: "as-published" })).toBeNull();
    expect(onCurveWords({ ...pump, verdict: "not-enough-data" })).toBeNull();
    expect(onCurveWords({ ...pump, expected: [] })).toBeNull();
    expect(onCurveWords(null)).toBeNull();
  });
});
