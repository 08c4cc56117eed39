import { describe, expect, it } from "vitest";
import { governing } from "../../../analysis/storms/governing.ts";
import { stormWords } from "../../../analysis/storms/storm-words.ts";

describe("governing", () => {
  const peak = { inflow_m3s: 5e-4, uInflow_m3s: 1e-5, at_s: 0 };
  const both = stormWords(null);

  it("is the flat allowance where no design storm is known: 30 L/min times 1.5 (common practice, no source)", () => {
    const found = governing(peak, 1.5, null, both);
    expect(found?.by).toBe("allowance");
    expect(found?.required.inflow_m3s).toBeCloseTo(7.5e-4, 12);
    expect(found?.required.high_m3s).toBeCloseTo(1.5 * (5e-4 + 1.96e-5), 8);
    expect(found?.why).toBe(
      "Only the measured peak times 1.5, 45.0 L/min (11.9 gpm), is known: the design storm's inflow is not.",
    );
  });

  it("speaks in the site's units where they are given", () => {
    expect(governing(peak, 1.5, null, stormWords("us"))?.why).toContain("11.9 gpm,");
    expect(governing(peak, 1.5, null, stormWords("metric"))?.why).toContain("45 L/min,");
  });

  it("is nothing where neither is known", () => {
    expect(governing(null, 1.5, null, both)).toBeNull();
  });
});
