import { describe, expect, it } from "vitest";
import {
  learnColour,
  learnNoise,
  newNoiseSpectrum,
  noiseAt,
  usualColour,
  usualInflation,
} from "../../../../analysis/inflow/sensor-errors/noise-spectrum.ts";
import { type Random, seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const count = 240;

/** Learns from rests whose residuals a generator makes sample by sample; what is said of degrees 1 and 3 in the end. */
function learned(rests: number, residualOf: (random: Random, before: number) => number, seed = 1) {
  const state = newNoiseSpectrum();
  const random = seededRandom(seed);
  const t = Float64Array.from({ length: count }, (_, i) => i);
  const weight = new Float64Array(count).fill(1);
  for (let rest = 0; rest < rests; rest++) {
    const residual = new Float64Array(count);
    let before = residualOf(random, Number.NaN);
    for (let i = 0; i < count; i++) {
      before = residualOf(random, before);
      residual[i] = before;
    }
    const mean = residual.reduce((sum, value) => sum + value, 0) / count;
    const variance = residual.reduce((sum, value) => sum + (value - mean) ** 2, 0) / count;
    learnNoise(state, { t, y: residual, weight, count }, residual, variance);
  }
  return [noiseAt(state, 1, count - 1, 1), noiseAt(state, 3, count - 1, 1)] as const;
}

/** First-order autoregression of unit variance, forgotten over so many samples. */
function wandering(forget: number) {
  const kept = Math.exp(-1 / forget);
  return (random: Random, before: number) =>
    Number.isNaN(before) ? random.normal(1) : kept * before + random.normal(Math.sqrt(1 - kept * kept));
}

describe("noiseAt", () => {
  it("is unknown before the first rest", () => {
    expect(noiseAt(newNoiseSpectrum(), 1, 239, 1)).toBeNull();
  });

  it("is one for independent errors", () => {
    const [first, third] = learned(100, (random) => random.normal(1));
    expect(first).toBeGreaterThan(0.9);
    expect(first).toBeLessThan(1.2);
    expect(third).toBeLessThan(1.2);
  });

  it("is many times that for errors that are forgotten over ten samples: nearly (1 + φ)/(1 − φ), about 20", () => {
    const [first] = learned(100, wandering(10));
    expect(first).toBeGreaterThan(14);
    expect(first).toBeLessThan(26);
  });

  it("is more in a slow wave than in a quick one when the error outlasts the rest", () => {
    const [first, third] = learned(200, (random, before) => {
      const walk = wandering(2000);
      return walk(random, before);
    });
    expect((first ?? 0) / (third ?? 1)).toBeGreaterThan(3);
  });
});

describe("usualColour", () => {
  it("is that of the sensor, though a curve has missed the course of most of the latest rests", () => {
    const state = newNoiseSpectrum();
    for (let rest = 0; rest < 30; rest++) learnColour(state, rest % 3 === 0 ? 1.1 : 80, rest % 3 === 0 ? 1 : 9);
    expect(usualColour(state)).toBe(1.1);
    expect(usualInflation(state)).toBe(1);
  });

  it("is that of a sensor that has begun to wander, after some rests", () => {
    const state = newNoiseSpectrum();
    for (let rest = 0; rest < 60; rest++) learnColour(state, rest < 35 ? 1 : 12, rest < 35 ? 1 : 20);
    expect(usualColour(state)).toBe(12);
    expect(usualInflation(state)).toBe(20);
  });

  it("is one before anything is known", () => {
    expect(usualColour(newNoiseSpectrum())).toBe(1);
  });
});
