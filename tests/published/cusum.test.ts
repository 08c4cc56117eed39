// The cumulative sum against published figures: NIST/SEMATECH's worked example, and the average run lengths printed in
// Montgomery, Introduction to Statistical Quality Control (tabular two-sided, zero start, k = 1/2).

import { describe, expect, it } from "vitest";
import { feedCusum, newCusum } from "../../analysis/statistics/cusum.ts";
import { normalQuantile } from "../../analysis/statistics/normal-quantile.ts";

const k = 0.5;
const unit = gaussLegendre(32);

/** Shift in standard deviations, then the average run length as printed for h = 4 and h = 5. */
const printed: readonly (readonly [shift: number, h4: number, h5: number])[] = [
  [0, 168, 465],
  [0.25, 74.2, 139],
  [0.5, 26.6, 38],
  [0.75, 13.3, 17],
  [1, 8.38, 10.4],
  [1.5, 4.75, 5.75],
  [2, 3.34, 4.01],
  [2.5, 2.62, 3.11],
  [3, 2.19, 2.57],
  [4, 1.71, 2.01],
];

describe("the cumulative sum", () => {
  it.each(printed)("takes as long as printed to find a shift of %d standard deviations", (shift, h4, h5) => {
    expect(averageRunLength(shift, 4)).toBeCloseTo(h4, digitsOf(h4));
    expect(averageRunLength(shift, 5)).toBeCloseTo(h5, digitsOf(h5));
  });

  it("does on drawn values what the integral says, within three standard errors", () => {
    for (const [shift, h, runs] of [
      [0, 4, 4000],
      [0, 5, 2000],
      [0.5, 5, 4000],
      [1, 5, 10_000],
      [2, 4, 10_000],
    ] as const) {
      const { mean, uMean } = drawnRunLength(shift, h, runs);
      expect(Math.abs(mean - averageRunLength(shift, h))).toBeLessThan(3 * uMean);
    }
  });

  // NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3: target 325, k 0.3175, h 4.1959, one unit as the deviation.
  const values = [
    324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15, 328.325,
    327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35,
  ];
  const sumsUp = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16, 19.04];
  const sumsDown = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0];

  it("gives the sums of NIST's worked example to their two decimals, and signals first at the 14th value", () => {
    const state = newCusum();
    const told = values.map((value) => {
      const signal = feedCusum(state, value - 325, { k: 0.3175, h: 4.1959 });
      return { up: state.up, down: state.down, signal };
    });
    for (const [i, { up, down }] of told.entries()) {
      // The handbook rounds as it goes, which leaves ±0.01.
      expect(Math.abs(up - (sumsUp[i] ?? Number.NaN))).toBeLessThan(0.0101);
      expect(Math.abs(down - (sumsDown[i] ?? Number.NaN))).toBeLessThan(0.0101);
    }
    expect(told.findIndex(({ signal }) => signal !== null)).toBe(13);
    expect(told[13]?.signal).toMatchObject({ side: "up", onset: 12 });
  });
});

/** Half a unit of the third significant figure, as toBeCloseTo counts it. */
function digitsOf(value: number): number {
  return 2 - Math.floor(Math.log10(value));
}

/** Of both sides together: 1/ARL = 1/ARL⁺ + 1/ARL⁻. */
function averageRunLength(shift: number, h: number): number {
  return 1 / (1 / oneSided(shift, h) + 1 / oneSided(-shift, h));
}

/**
 * L(s) = 1 + L(0)·Φ(k − s − δ) + ∫₀ʰ L(x)·φ(x + k − s − δ) dx, solved at Gauss–Legendre nodes (Goel and Wu 1971,
 * Technometrics 13, 221–230); L(0) is wanted.
 */
function oneSided(shift: number, h: number): number {
  const nodes = unit.nodes.map((x) => x * h);
  const weights = unit.weights.map((weight) => weight * h);
  const from = [0, ...nodes];
  const matrix = from.map((s, i) =>
    from.map((x, j) => {
      const reached = j === 0 ? cumulative(k - s - shift) : (weights[j - 1] ?? 0) * density(x + k - s - shift);
      return (i === j ? 1 : 0) - reached;
    }),
  );
  return solve(matrix)[0] ?? Number.NaN;
}

function density(z: number): number {
  return Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
}

/** By the density's own quadrature from 0; z stays within ±10 here. */
function cumulative(z: number): number {
  const area = unit.nodes.reduce((sum, x, i) => sum + (unit.weights[i] ?? 0) * density(x * z), 0);
  return 0.5 + z * area;
}

/** Nodes and weights on 0…1; roots of the Legendre polynomial by Newton's method. */
function gaussLegendre(n: number): { nodes: number[]; weights: number[] } {
  const nodes: number[] = [];
  const weights: number[] = [];
  for (let i = 0; i < n; i += 1) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5));
    let slope = 1;
    for (let round = 0; round < 20; round += 1) {
      let [before, here] = [1, x];
      for (let j = 2; j <= n; j += 1) [before, here] = [here, ((2 * j - 1) * x * here - (j - 1) * before) / j];
      slope = (n * (x * here - before)) / (x * x - 1);
      x -= here / slope;
    }
    nodes.push((1 + x) / 2);
    weights.push(1 / ((1 - x * x) * slope * slope));
  }
  return { nodes, weights };
}

/** matrix · L = 1, by elimination with pivoting. */
function solve(matrix: number[][]): number[] {
  const n = matrix.length;
  const rows = matrix.map((row) => [...row, 1]);
  const at = (i: number, j: number) => rows[i]?.[j] ?? Number.NaN;
  for (let c = 0; c < n; c += 1) {
    let pivot = c;
    for (let i = c + 1; i < n; i += 1) if (Math.abs(at(i, c)) > Math.abs(at(pivot, c))) pivot = i;
    [rows[c], rows[pivot]] = [rows[pivot] ?? [], rows[c] ?? []];
    for (let i = c + 1; i < n; i += 1) {
      const factor = at(i, c) / at(c, c);
      rows[i] = (rows[i] ?? []).map((value, j) => (j < c ? 0 : value - factor * at(c, j)));
    }
  }
  const solution: number[] = Array(n).fill(0);
  for (let i = n - 1; i >= 0; i -= 1) {
    let rest = at(i, n);
    for (let j = i + 1; j < n; j += 1) rest -= at(i, j) * (solution[j] ?? 0);
    solution[i] = rest / at(i, i);
  }
  return solution;
}

function drawnRunLength(shift: number, h: number, runs: number): { mean: number; uMean: number } {
  const uniform = generator();
  let sum = 0;
  let squares = 0;
  for (let run = 0; run < runs; run += 1) {
    const state = newCusum();
    while (feedCusum(state, shift + normalQuantile(uniform()), { k, h }) === null);
    sum += state.count;
    squares += state.count ** 2;
  }
  const mean = sum / runs;
  return { mean, uMean: Math.sqrt((squares / runs - mean ** 2) / runs) };
}

/** Uniform on 0…1, the same sequence every time: a linear congruential generator (Numerical Recipes' constants). */
function generator(): () => number {
  let state = 20_260_302;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
}
