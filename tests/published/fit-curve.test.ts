// The curve of weighted least squares against certified results: NIST Statistical Reference Datasets (StRD), of which the
// certified figures, and data that a formula does not give, were read in public repositories that hold the files. A mean
// is a curve of degree 0; a line through the origin is the mean of y/x, each weighing x².

import { describe, expect, it } from "vitest";
import { type CurveFit, type CurveSamples, fitCurve } from "../../analysis/statistics/fit-curve.ts";

function fitted(x: readonly number[], y: readonly number[], degree: number, weight = x.map(() => 1)): CurveFit {
  const samples: CurveSamples = {
    t: Float64Array.from(x),
    y: Float64Array.from(y),
    weight: Float64Array.from(weight),
    count: x.length,
  };
  const fit = fitCurve(samples, degree);
  if (fit === undefined) throw new Error("no fit");
  return fit;
}

const residualSd = (fit: CurveFit) => Math.sqrt(fit.residualSquares / (fit.count - fit.size));
/** Digits that agree: the measure that NIST proposes for these sets. */
const digits = (found: number, certified: number) => -Math.log10(Math.abs(found / certified - 1) + 1e-16);

describe("NIST StRD Pontius (quadratic, lower difficulty)", () => {
  const y = [
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001, 1.30822, 1.41599,
    1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844, 0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739,
    0.76596, 0.87474, 0.983, 1.0915, 1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177,
    2.16829,
  ];
  const x = y.map((_, i) => 150_000 * ((i % 20) + 1));
  const fit = fitted(x, y, 2);
  const slopeAtZero = fit.meanSlope(-1, 1); // of a quadratic, just its linear coefficient

  it.each([
    ["B0", fit.valueAt(0), 0.673565789473684e-3],
    ["B1", slopeAtZero.slope, 0.732059160401003e-6],
    ["sd of B1", Math.sqrt(slopeAtZero.variance) * residualSd(fit), 0.157817399981659e-9],
    ["B2 over its sd", fit.topRatio / residualSd(fit), -0.316081871345029e-14 / 0.486652849992036e-16],
    ["residual sd", residualSd(fit), 0.205177424076185e-3],
  ])("gives %s to 8 digits or more", (_, found, certified) => {
    expect(digits(found, certified)).toBeGreaterThan(8);
  });
});

describe("NIST StRD Wampler (quintic, higher difficulty)", () => {
  const x = Array.from({ length: 21 }, (_, i) => i);
  const quintic = (base: number) => (t: number) =>
    Array.from({ length: 6 }, (_, k) => (base * t) ** k).reduce((a, b) => a + b);
  const half = [759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048];
  const noise = [...half, 2048, ...half.toReversed()];

  it.each([
    ["1", 1],
    ["2", 0.1],
  ])("%s: finds the exact curve, and next to no residual", (_, base) => {
    const curve = quintic(base);
    const fit = fitted(x, x.map(curve), 5);
    for (const t of x) expect(Math.abs(fit.valueAt(t) / curve(t) - 1)).toBeLessThan(1e-6);
    expect(residualSd(fit)).toBeLessThan(1e-9 * curve(20));
  });

  it.each([
    ["3", 1, 2360.14502379268],
    ["4", 100, 236014.502379268],
    ["5", 10_000, 23601450.2379268],
  ])("%s: finds the same curve under noise, and the certified residual sd", (_, factor, certified) => {
    const curve = quintic(1);
    const fit = fitted(
      x,
      x.map((t, i) => curve(t) + factor * (noise[i] ?? Number.NaN)),
      5,
    );
    expect(digits(residualSd(fit), certified)).toBeGreaterThan(11);
    for (const t of x) expect(Math.abs(fit.valueAt(t) - curve(t))).toBeLessThan(1e-9 * certified);
  });
});

describe("NIST StRD NoInt (a line through the origin, average difficulty)", () => {
  it.each([
    [
      "1",
      Array.from({ length: 11 }, (_, i) => 60 + i),
      Array.from({ length: 11 }, (_, i) => 130 + i),
      [2.07438016528926, 0.0165289256198347, 3.56753034006338],
    ],
    ["2", [4, 5, 6], [3, 4, 4], [0.727272727272727, 0.0420827318078432, 0.369274472937998]],
  ])("%s: gives slope, its sd and the residual sd to 13 digits", (_, x, y, [slope = 0, sd = 0, residual = 0]) => {
    const fit = fitted(
      x,
      y.map((value, i) => value / (x[i] ?? Number.NaN)),
      0,
      x.map((value) => value ** 2),
    );
    expect(digits(fit.valueAt(0), slope)).toBeGreaterThan(13);
    expect(digits(residualSd(fit), residual)).toBeGreaterThan(13);
    expect(digits((fit.valueAt(0) / fit.topRatio) * residualSd(fit), sd)).toBeGreaterThan(13);
  });
});

describe("NIST StRD univariate sets (mean and sd)", () => {
  const alternating = (first: number, low: number, high: number) => [
    first,
    ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? low : high)),
  ];
  const lew = [
    -213, -564, -35, -15, 141, 115, -420, -360, 203, -338, -431, 194, -220, -513, 154, -125, -559, 92, -21, -579, -52,
    99, -543, -175, 162, -457, -346, 204, -300, -474, 164, -107, -572, -8, 83, -541, -224, 180, -420, -374, 201, -236,
    -531, 83, 27, -564, -112, 131, -507, -254, 199, -311, -495, 143, -46, -579, -90, 136, -472, -338, 202, -287, -477,
    169, -124, -568, 17, 48, -568, -135, 162, -430, -422, 172, -74, -577, -13, 92, -534, -243, 194, -355, -465, 156,
    -81, -578, -64, 139, -449, -384, 193, -198, -538, 110, -44, -577, -6, 66, -552, -164, 161, -460, -344, 205, -281,
    -504, 134, -28, -576, -118, 156, -437, -381, 200, -220, -540, 83, 11, -568, -160, 172, -414, -408, 188, -125, -572,
    -32, 139, -492, -321, 205, -262, -504, 142, -83, -574, 0, 48, -571, -106, 137, -501, -266, 190, -391, -406, 194,
    -186, -553, 83, -13, -577, -49, 103, -515, -280, 201, 300, -506, 131, -45, -578, -80, 138, -462, -361, 201, -211,
    -554, 32, 74, -533, -235, 187, -372, -442, 182, -147, -566, 25, 68, -535, -244, 194, -351, -463, 174, -125, -570,
    15, 72, -550, -190, 172, -424, -385, 198, -218, -536, 96,
  ];
  const mavro = [
    2.0018, 2.0017, 2.0018, 2.0019, 2.0018, 2.0017, 2.0015, 2.0014, 2.0015, 2.0015, 2.0017, 2.0018, 2.0018, 2.0019,
    2.0019, 2.0021, 2.002, 2.0016, 2.0014, 2.0013, 2.0013, 2.0015, 2.0015, 2.0016, 2.0015, 2.0014, 2.0013, 2.0014,
    2.0015, 2.0014, 2.0015, 2.0016, 2.0015, 2.0016, 2.0019, 2.002, 2.002, 2.0021, 2.0022, 2.0023, 2.0024, 2.0025,
    2.0027, 2.0026, 2.0026, 2.0026, 2.0027, 2.0026, 2.0025, 2.0024,
  ];
  // NumAcc3 and 4 as binary numbers are not the decimal ones: 8 digits of the sd are a good result there.
  it.each<[string, number[], number, number, number]>([
    ["NumAcc1", [10_000_001, 10_000_003, 10_000_002], 10_000_002, 1, 15],
    ["NumAcc2", alternating(1.2, 1.1, 1.3), 1.2, 0.1, 14],
    ["NumAcc3", alternating(1_000_000.2, 1_000_000.1, 1_000_000.3), 1_000_000.2, 0.1, 9],
    ["NumAcc4", alternating(10_000_000.2, 10_000_000.1, 10_000_000.3), 10_000_000.2, 0.1, 8],
    ["Lew", lew, -177.435, 277.332168044316, 14],
    ["Mavro", mavro, 2.001856, 0.000429123454003053, 12],
  ])("%s", (_, y, mean, sd, fewest) => {
    const fit = fitted(
      y.map((__, i) => i),
      y,
      0,
    );
    expect(digits(fit.valueAt(0), mean)).toBeGreaterThan(14);
    expect(digits(residualSd(fit), sd)).toBeGreaterThan(fewest);
  });
});
