// The straight line against certified and printed results, and against the best that any estimate can do.

import { describe, expect, it } from "vitest";
import { fitLine } from "../../analysis/statistics/fit-line.ts";
import { normalQuantile } from "../../analysis/statistics/normal-quantile.ts";

describe("NIST StRD Norris (linear regression, certified values)", () => {
  const x = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5,
    11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1,
    448.9, 0.5,
  ];
  const y = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
    557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2,
    0.2,
  ];
  const line = fitLine(x, y);

  it.each([
    ["B1", line.slope, 1.00211681802045],
    ["B0", line.intercept, -0.262323073774029],
    ["sd of B1", line.uSlope, 0.429796848199937e-3],
    ["sd of B0", line.uIntercept, 0.232818234301152],
    ["residual sd", line.residualSd, 0.884796396144373],
  ])("gives %s to 12 digits", (_, found, certified) => {
    expect(Math.abs(found / certified - 1)).toBeLessThan(1e-12);
  });

  it("has 34 degrees of freedom", () => {
    expect(line.degreesOfFreedom).toBe(34);
  });
});

describe("GUM example H.3, calibration of a thermometer (JCGM 100:2008)", () => {
  const temperature = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
  const correction = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
  const line = fitLine(
    temperature.map((t) => t - 20),
    correction,
  );

  it("gives the printed coefficients, uncertainties and correlation", () => {
    expect(line.intercept).toBeCloseTo(-0.1712, 4);
    expect(line.uIntercept).toBeCloseTo(0.0029, 4);
    expect(line.slope).toBeCloseTo(0.00218, 5);
    expect(line.uSlope).toBeCloseTo(0.00067, 5);
    expect(line.correlation).toBeCloseTo(-0.93, 3);
    expect(line.residualSd).toBeCloseTo(0.0035, 4);
  });

  it("predicts the correction at 30 °C with the printed uncertainty, covariance included", () => {
    const { slope, intercept, uSlope, uIntercept, correlation } = line;
    expect(intercept + 10 * slope).toBeCloseTo(-0.1494, 4);
    const variance = uIntercept ** 2 + 100 * uSlope ** 2 + 20 * correlation * uSlope * uIntercept;
    expect(Math.sqrt(variance)).toBeCloseTo(0.0041, 4);
  });
});

describe("ordinary least squares", () => {
  it("is pulled by a spike just as scipy.stats.linregress 1.10.1 finds it", () => {
    const time_s = Array.from({ length: 12 }, (_, i) => 10 * i);
    const level_mm = [120, 121.1, 122, 122.9, 124.1, 125, 133, 127, 128.1, 128.9, 130.1, 131];
    const line = fitLine(time_s, level_mm);
    expect(line.slope).toBeCloseTo(0.10244755244755246, 13);
    expect(line.intercept).toBeCloseTo(120.46538461538462, 10);
    expect(line.uSlope).toBeCloseTo(0.017671108668354127, 13);
  });

  // Kay, Fundamentals of Statistical Signal Processing: Estimation Theory (1993), ch. 3: 12σ²/(Δ²N(N² − 1)).
  it.each([
    [10, 1, 1, 0.110096377],
    [60, 1, 1, 0.007454595],
    [12, 10, 0.5, 0.00418121],
    [100, 0.1, 2, 0.069285497],
  ])("reaches the Cramér–Rao bound for %d samples %d s apart, σ %d", (count, step, sigma, bound) => {
    const random = seeded(count);
    const time_s = Array.from({ length: count }, (_, i) => step * i);
    const series = 3000;
    let squares = 0;
    let claimed = 0;
    for (let k = 0; k < series; k++) {
      const { slope, uSlope } = fitLine(
        time_s,
        time_s.map((t) => 120 + 0.05 * t + sigma * normalQuantile(random())),
      );
      squares += (slope - 0.05) ** 2;
      claimed += uSlope ** 2;
    }
    // The variance of a sample variance is 2/n: 2.6 % here, three times that allowed. The seed is fixed.
    expect(Math.abs(squares / series / bound ** 2 - 1)).toBeLessThan(0.078);
    expect(Math.abs(claimed / series / bound ** 2 - 1)).toBeLessThan(0.03);
  });
});

/** Uniform in (0, 1), the same series for the same seed (mulberry32). */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return (((t ^ (t >>> 14)) >>> 0) + 0.5) / 2 ** 32;
  };
}
