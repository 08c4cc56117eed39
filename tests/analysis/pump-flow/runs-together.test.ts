import { describe, expect, it } from "vitest";
import { meanByTime, meanOfRuns } from "../../../analysis/pump-flow/runs-together.ts";

describe("meanByTime", () => {
  /** 30 L drawn in `run_s`, begun anywhere between two readings 5 s apart: rates as long as each run looks, and how sure. */
  const timedBy5s = (run_s: number) => {
    const seen_s = Array.from({ length: 30 }, (_, i) => 5 * Math.floor((run_s + (5 * (i + 0.5)) / 30) / 5));
    const rates = seen_s.map((length_s) => 0.03 / length_s);
    // Two edges, each somewhere within an interval: 5/√6 s of the length.
    return { rates, us: rates.map((rate, i) => (rate * 5) / Math.sqrt(6) / (seen_s[i] ?? 0)) };
  };

  it.each([11, 13.5, 14.5, 16, 18])("is that of a run of %d s, which looks like one of whole readings", (run_s) => {
    const { rates, us } = timedBy5s(run_s);
    expect(meanByTime(rates, us).flow_m3s / (0.03 / run_s)).toBeCloseTo(1, 2);
  });

  it("is where a mean of the rates by how sure they are is too low by a twentieth", () => {
    const { rates, us } = timedBy5s(9);
    expect(meanByTime(rates, us).flow_m3s / (0.03 / 9)).toBeCloseTo(1, 2);
    expect(meanOfRuns(rates, us).flow_m3s / (0.03 / 9)).toBeLessThan(0.95);
  });

  it("lets one that is far off count little", () => {
    const rates = [...Array.from({ length: 11 }, () => 2e-3), 2e-4];
    const { flow_m3s } = meanByTime(
      rates,
      rates.map((rate) => 0.02 * rate),
    );
    expect(flow_m3s / 2e-3).toBeCloseTo(1, 2);
  });
});
