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

describe("NIST StRD Filip (degree 10, higher difficulty)", () => {
  const x = [
    -6.860120914, -4.324130045, -4.358625055, -4.358426747, -6.955852379, -6.661145254, -6.355462942, -6.118102026,
    -7.115148017, -6.815308569, -6.519993057, -6.204119983, -5.853871964, -6.109523091, -5.79832982, -5.482672118,
    -5.171791386, -4.851705903, -4.517126416, -4.143573228, -3.709075441, -3.499489089, -6.300769497, -5.953504836,
    -5.642065153, -5.031376979, -4.680685696, -4.329846955, -3.928486195, -8.56735134, -8.363211311, -8.107682739,
    -7.823908741, -7.522878745, -7.218819279, -6.920818754, -6.628932138, -6.323946875, -5.991399828, -8.781464495,
    -8.663140179, -8.473531488, -8.247337057, -7.971428747, -7.676129393, -7.352812702, -7.072065318, -6.774174009,
    -6.478861916, -6.159517513, -6.835647144, -6.53165267, -6.224098421, -5.910094889, -5.598599459, -5.290645224,
    -4.974284616, -4.64454848, -4.290560426, -3.885055584, -3.408378962, -3.13200249, -8.726767166, -8.66695597,
    -8.511026475, -8.165388579, -7.886056648, -7.588043762, -7.283412422, -6.995678626, -6.691862621, -6.392544977,
    -6.067374056, -6.684029655, -6.378719832, -6.065855188, -5.752272167, -5.132414673, -4.811352704, -4.098269308,
    -3.66174277, -3.2644011,
  ];
  const y = [
    0.8116, 0.9072, 0.9052, 0.9039, 0.8053, 0.8377, 0.8667, 0.8809, 0.7975, 0.8162, 0.8515, 0.8766, 0.8885, 0.8859,
    0.8959, 0.8913, 0.8959, 0.8971, 0.9021, 0.909, 0.9139, 0.9199, 0.8692, 0.8872, 0.89, 0.891, 0.8977, 0.9035, 0.9078,
    0.7675, 0.7705, 0.7713, 0.7736, 0.7775, 0.7841, 0.7971, 0.8329, 0.8641, 0.8804, 0.7668, 0.7633, 0.7678, 0.7697,
    0.77, 0.7749, 0.7796, 0.7897, 0.8131, 0.8498, 0.8741, 0.8061, 0.846, 0.8751, 0.8856, 0.8919, 0.8934, 0.894, 0.8957,
    0.9047, 0.9129, 0.9209, 0.9219, 0.7739, 0.7681, 0.7665, 0.7703, 0.7702, 0.7761, 0.7809, 0.7961, 0.8253, 0.8602,
    0.8809, 0.8301, 0.8664, 0.8834, 0.8898, 0.8964, 0.8963, 0.9074, 0.9119, 0.9228,
  ];
  const certified = [
    -1467.4896142298, -2772.17959193342, -2316.37108160893, -1127.97394098372, -354.478233703349, -75.1242017393757,
    -10.8753180355343, -1.06221498588947, -0.670191154593408e-1, -0.246781078275479e-2, -0.402962525080404e-4,
  ];
  const fit = fitted(x, y, 10);

  it("gives the certified curve within the last of its digits, and the residual sd to 8", () => {
    expect(digits(residualSd(fit), 0.334801051324544e-2)).toBeGreaterThan(8);
    // Terms of thousands that cancel leave of the 15 certified digits some 9 behind the point.
    for (const t of x) {
      const value = certified.reduceRight((sum, coefficient) => sum * t + coefficient, 0);
      expect(Math.abs(fit.valueAt(t) - value)).toBeLessThan(1e-7);
    }
  });

  it("gives its highest coefficient over its sd to 7 digits", () => {
    expect(digits(fit.topRatio / residualSd(fit), -0.402962525080404e-4 / 0.896632837373868e-5)).toBeGreaterThan(7);
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
