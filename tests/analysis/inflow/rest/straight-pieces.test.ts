import { describe, expect, it } from "vitest";
import { straightPieces } from "../../../../analysis/inflow/rest/straight-pieces.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { curveSamples } from "../../statistics/curve-samples.ts";

const sd = 1;

/** Once a second, with noise of 1. */
function noisy(count: number, course: (t: number) => number, seed = 1) {
  const random = seededRandom(seed);
  return curveSamples(
    Array.from({ length: count }, (_, t) => t),
    (t) => course(t) + random.normal(sd),
  );
}

/** 0.1 a second, and 3 a second besides in `length_s` seconds from `from_s` on. */
const pulse = (from_s: number, length_s: number) => (t: number) =>
  0.1 * t + 3 * Math.min(length_s, Math.max(0, t - from_s));

describe("straightPieces", () => {
  it("is none where one line will do, whatever the noise", () => {
    for (let seed = 1; seed <= 40; seed++)
      expect(
        straightPieces(
          noisy(600, (t) => 0.1 * t, seed),
          sd ** 2,
        ),
      ).toBeUndefined();
  });

  it("parts the course where it breaks, and hardly anywhere else", () => {
    const found = straightPieces(noisy(600, pulse(300, 40)), sd ** 2);
    expect(found?.pieces).toBeLessThanOrEqual(4);
    expect(found?.sampleSd).toBeCloseTo(sd, 1);
    expect(found?.valueAt(200)).toBeCloseTo(20, 0);
    expect(found?.valueAt(500)).toBeCloseTo(170, 0);
    expect(Math.abs((found?.valueAt(320) ?? 0) - pulse(300, 40)(320))).toBeLessThan(1.5);
  });

  it("tells a sensor that wanders to and fro from water, which never falls", () => {
    let seen = 0;
    for (let seed = 1; seed <= 20; seed += 1) {
      const random = seededRandom(seed);
      let wander = 0;
      const wandering = (t: number) => {
        wander += random.normal(0.5) - wander / 200;
        return 0.1 * t + wander;
      };
      if (straightPieces(noisy(1200, wandering, seed), sd ** 2)?.wanders) seen += 1;
      expect(straightPieces(noisy(600, pulse(300, 40), seed), sd ** 2)?.wanders).toBe(false);
    }
    expect(seen).toBeGreaterThan(15);
  });

  it("carries no line back over what was left out at the beginning that so few samples after it make up", () => {
    // Held where it was until the sixteenth second, and then up by 15 at once; a tap later on.
    const samples = noisy(600, (t) => pulse(300, 40)(t) + (t < 16 ? 0 : 15));
    samples.weight.fill(0, 0, 15);
    const found = straightPieces(samples, sd ** 2);
    expect(Math.abs((found?.valueAt(0) ?? 0) - 15)).toBeLessThan(2);
  });

  it("keeps what pours in within the last five seconds", () => {
    const course = pulse(595, 10);
    const errors = Array.from({ length: 60 }, (_, seed) => {
      const found = straightPieces(noisy(600, course, seed + 1), sd ** 2)?.meanSlope(0, 599);
      return found === undefined ? Number.NaN : (found.slope - course(599) / 599) / Math.sqrt(found.variance);
    });
    const mean = errors.reduce((sum, e) => sum + e, 0) / errors.length;
    expect(Math.abs(mean)).toBeLessThan(1);
    expect(errors.filter((e) => Math.abs(e) < 3).length).toBeGreaterThan(55);
  });

  it("is as unsure of a mean as of when a pulse was cut short: a reading's length, evenly spread, of its own pace", () => {
    const found = straightPieces(noisy(600, pulse(560, 60)), sd ** 2)?.meanSlope(0, 599);
    expect(Math.sqrt(found?.variance ?? 0)).toBeGreaterThan(2.8 / Math.sqrt(12) / 599);
  });

  it("is as sure of a slope as the piece that it lies on", () => {
    const found = straightPieces(noisy(600, pulse(300, 40)), sd ** 2);
    // √12 σ / (Δ · n^1.5), the least for n = 300 samples.
    expect(Math.sqrt(found?.meanSlope(50, 250).variance ?? 0)).toBeCloseTo(Math.sqrt(12 / 300 ** 3), 4);
  });
});
