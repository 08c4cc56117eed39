import { describe, expect, it } from "vitest";
import { type RateSamples, smoothRate } from "../../../analysis/statistics/smooth-rate.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

const wanderings = [1e-8, 1e-4, 1e-2, 1];

function samplesOf(count: number, valueAt: (t: number) => number, sd: number, seed = 1): RateSamples {
  const random = seededRandom(seed);
  const t = Float64Array.from({ length: count }, (_, i) => i);
  return {
    t,
    y: t.map((time) => valueAt(time) + random.normal(sd)),
    variance: new Float64Array(count).fill(sd ** 2),
    jump: new Float64Array(count),
    count,
  };
}

const middle = (values: Float64Array) => values[values.length >> 1] ?? Number.NaN;

/** In the middle of a hundred samples of slope 2, over forty seeds. */
function errors(choice: readonly number[]) {
  let squares = 0;
  let stated = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const { rate, variance } = smoothRate(
      samplesOf(100, (t) => 5 + 2 * t, 1, seed),
      null,
      choice,
    );
    squares += (middle(rate) - 2) ** 2;
    stated += Math.sqrt(middle(variance));
  }
  return { rms: Math.sqrt(squares / 40), stated: stated / 40 };
}

describe("smoothRate", () => {
  it("is the slope of a steady course, as well known as that of a line where the rate does not wander: σ √12 / n^1.5", () => {
    const line = Math.sqrt(12) / 100 ** 1.5;
    const still = errors([1e-12]);
    expect(still.rms / line).toBeGreaterThan(0.7);
    expect(still.rms / line).toBeLessThan(1.3);
    expect(still.stated / line).toBeCloseTo(1, 1);
    // Not to know that it does not wander costs something.
    expect(errors(wanderings).rms / line).toBeLessThan(2);
  });

  it("follows a rate that jumps from 1 to 11, within a few samples", () => {
    const { rate } = smoothRate(
      samplesOf(200, (t) => (t < 120 ? t : 120 + 11 * (t - 120)), 1),
      null,
      wanderings,
    );
    expect(rate[100]).toBeCloseTo(1, 0);
    expect(rate[128]).toBeGreaterThan(9);
    expect(rate[112]).toBeLessThan(2.5);
    expect(Math.abs((rate[160] ?? 0) - 11)).toBeLessThan(1);
  });

  it("does not ring about a hump: 10 sin over half a period", () => {
    const rateAt = (t: number) => 10 * Math.sin((Math.PI * t) / 200);
    const valueAt = (t: number) => (2000 / Math.PI) * (1 - Math.cos((Math.PI * t) / 200));
    const { rate } = smoothRate(samplesOf(200, valueAt, 0.5), null, wanderings);
    for (let i = 10; i < 190; i++) expect(Math.abs((rate[i] ?? 0) - rateAt(i))).toBeLessThan(0.8);
  });

  it("takes a jump of the value where it is told of one for no rate", () => {
    const samples = samplesOf(100, (t) => 2 * t + (t >= 50 ? 300 : 0), 0.5);
    samples.jump[50] = 1e4;
    const { rate } = smoothRate(samples, null, wanderings);
    for (const value of rate) expect(value).toBeCloseTo(2, 0);
  });

  it("begins with what was known before", () => {
    const few = samplesOf(3, (t) => 2 * t, 10);
    const { rate, variance } = smoothRate(few, { rate: 2.5, variance: 0.01 }, wanderings);
    expect(rate[0]).toBeCloseTo(2.5, 1);
    expect(Math.sqrt(variance[0] ?? 0)).toBeLessThan(0.11);
  });

  it("is not led astray by a spike", () => {
    const samples = samplesOf(100, (t) => 2 * t, 0.5);
    samples.y[50] = 1000;
    const { rate } = smoothRate(samples, null, wanderings);
    expect(rate[20]).toBeCloseTo(2, 0);
    expect(rate[80]).toBeCloseTo(2, 0);
  });
});
