// How uncertainties are joined, against the worked examples of the GUM (JCGM 100:2008, annex H). Their inputs and printed
// results are from memory; the arithmetic was redone from the inputs and agrees at the printed precision.

import { describe, expect, it } from "vitest";
import { fitLine } from "../../analysis/statistics/fit-line.ts";
import { studentTQuantile } from "../../analysis/statistics/student-t.ts";
import { flowBudget } from "../../analysis/uncertainty/budget.ts";
import { combinedUncertainty, effectiveDegreesOfFreedom } from "../../analysis/uncertainty/combine.ts";
import { withShared } from "../../analysis/uncertainty/shared-errors.ts";

describe("GUM H.1, the length of an end gauge", () => {
  const terms = [
    { u: 25, degreesOfFreedom: 18 },
    { u: 9.7, degreesOfFreedom: 25.6 },
    { u: 2.9, degreesOfFreedom: 50 },
    { u: 16.6, degreesOfFreedom: 2 },
  ];

  it("has a combined standard uncertainty of 32 nm and 16.7 effective degrees of freedom", () => {
    expect(combinedUncertainty(terms.map(({ u }) => u))).toBeCloseTo(31.67, 2);
    expect(Math.floor(10 * effectiveDegreesOfFreedom(terms)) / 10).toBe(16.7); // 16.76, cut off in print
  });

  it("has an expanded uncertainty of 93 nm at 99 %, by 16 degrees of freedom", () => {
    const coverage = studentTQuantile(0.995, Math.floor(effectiveDegreesOfFreedom(terms)));
    expect(coverage).toBeCloseTo(2.92, 2);
    expect(coverage * 32).toBeCloseTo(93, 0);
  });
});

describe("GUM H.2, resistance, reactance and impedance from the same five readings", () => {
  const voltage = [5.007, 4.994, 5.005, 4.99, 4.999];
  const current = [19.663, 19.639, 19.64, 19.685, 19.678].map((mA) => mA / 1000);
  const phase = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
  const inputs = [voltage, current, phase];
  const [V = 0, I = 0, phi = 0] = inputs.map(mean);
  const u = inputs.map((values) => Math.sqrt(covarianceOfMeans(values, values)));
  const r = (i: number, j: number) =>
    covarianceOfMeans(inputs[i] ?? [], inputs[j] ?? []) / ((u[i] ?? Number.NaN) * (u[j] ?? Number.NaN));

  it("has means, standard uncertainties and correlations as printed", () => {
    expect([V, 1000 * I, phi].map((value, i) => value.toFixed([4, 4, 5][i]))).toEqual(["4.9990", "19.6610", "1.04446"]);
    expect(u[0]).toBeCloseTo(0.0032, 4);
    expect(1000 * (u[1] ?? 0)).toBeCloseTo(0.0095, 4);
    expect(u[2]).toBeCloseTo(0.00075, 5);
    expect([r(0, 1), r(0, 2), r(1, 2)].map((value) => value.toFixed(2))).toEqual(["-0.36", "0.86", "-0.65"]);
  });

  // Sensitivities to V, I and φ.
  it.each([
    [
      "R = V cos φ / I",
      (V * Math.cos(phi)) / I,
      [Math.cos(phi) / I, (-V * Math.cos(phi)) / I ** 2, (-V * Math.sin(phi)) / I],
      127.732,
      0.071,
    ],
    [
      "X = V sin φ / I",
      (V * Math.sin(phi)) / I,
      [Math.sin(phi) / I, (-V * Math.sin(phi)) / I ** 2, (V * Math.cos(phi)) / I],
      219.847,
      0.2956,
    ],
    ["Z = V / I", V / I, [1 / I, -V / I ** 2, 0], 254.26, 0.236],
  ])("gives %s with the printed uncertainty, covariances included", (_, value, sensitivities, printed, uPrinted) => {
    const terms = sensitivities.map((sensitivity, i) => sensitivity * (u[i] ?? Number.NaN));
    expect(value).toBeCloseTo(printed, 3);
    expect(Math.abs(combinedUncertainty(terms, r) - uPrinted)).toBeLessThanOrEqual(0.0005);
    expect(Math.abs(combinedUncertainty(terms) - uPrinted)).toBeGreaterThan(0.02); // without them it is another figure
  });
});

describe("GUM H.3, calibration of a thermometer", () => {
  const temperature = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
  const correction = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];

  it("predicts the correction at 30 °C with 0.0041 °C, intercept and slope correlated by −0.930", () => {
    const line = fitLine(
      temperature.map((t) => t - 20),
      correction,
    );
    expect(combinedUncertainty([line.uIntercept, 10 * line.uSlope], () => line.correlation)).toBeCloseTo(0.0041, 4);
  });
});

describe("inflow from the slope of a fill, q = (π/4) D² dh/dt (plain propagation, exact arithmetic)", () => {
  it("is 4.925197 L/min, known to 2.39212 %, from D = 457.2 ± 3 mm and 0.500 ± 0.010 mm/s", () => {
    const flow_m3s = (Math.PI / 4) * 0.4572 ** 2 * 0.5e-3;
    const bySlope = { flow_m3s, uFlow_m3s: 0.02 * flow_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
    const { value, u, lines } = flowBudget(withShared(bySlope, { geometry: (2 * 0.003) / 0.4572, calibration: 0 }));
    expect(value * 60_000).toBeCloseTo(4.925197, 6);
    expect(u / value).toBeCloseTo(0.0239212, 7);
    expect(u * 60_000).toBeCloseTo(0.11782, 5);
    expect(lines.map(({ source }) => source)).toEqual(["sensor-noise", "geometry"]);
  });
});

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** JCGM 100:2008, equation 17. */
function covarianceOfMeans(a: readonly number[], b: readonly number[]): number {
  const [meanA, meanB] = [mean(a), mean(b)];
  const sum = a.reduce((total, value, i) => total + (value - meanA) * ((b[i] ?? Number.NaN) - meanB), 0);
  return sum / (a.length * (a.length - 1));
}
