import { describe, expect, it } from "vitest";
import { lateStart_s } from "../../../analysis/pump-flow/late-start.ts";
import type { CurveSamples } from "../../../analysis/statistics/fit-curve.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** A sample a second of a run that falls by 1 L/s from `from_s` on, under a noise of 50 mL. */
function run(run_s: number, from_s: number, { noise_m3 = 5e-5, fall_m3s = 1e-3, spike = -1 } = {}): CurveSamples {
  const random = seededRandom(run_s);
  const t = Float64Array.from({ length: run_s }, (_, i) => i);
  const y = t.map((s) => 0.05 - fall_m3s * Math.max(0, s - from_s) + random.normal(noise_m3));
  if (spike >= 0) y[spike] = 0;
  return { t, y, weight: new Float64Array(run_s).fill(1), count: run_s };
}

describe("lateStart_s", () => {
  it("is about a second, which readings a second apart cannot tell from none, for a pump that comes up at once", () => {
    expect(lateStart_s(run(20, 0), 20)).toBeLessThan(1.5);
    expect(lateStart_s(run(100, 0.5), 100)).toBeLessThan(1.5);
  });

  it("is the time in which nothing was moved", () => {
    expect(Math.abs((lateStart_s(run(30, 10), 30) ?? 0) - 10)).toBeLessThan(1.5);
    expect(Math.abs((lateStart_s(run(80, 45), 80) ?? 0) - 45)).toBeLessThan(1.5);
  });

  it("takes no spike for a fall", () => {
    expect(Math.abs((lateStart_s(run(30, 10, { spike: 4 }), 30) ?? 0) - 10)).toBeLessThan(1.5);
  });

  it("cannot be told from few samples, from a run that does not fall, or when the end was not seen", () => {
    expect(lateStart_s(run(7, 0), 7)).toBeNull();
    expect(lateStart_s(run(30, 0, { fall_m3s: 0 }), 30)).toBeNull();
    expect(lateStart_s(run(30, 0, { fall_m3s: -1e-3 }), 30)).toBeNull();
    expect(lateStart_s(run(30, 10), 60)).toBeNull();
  });

  it("is told at the least from readings up to five seconds apart: two of them may be by chance", () => {
    const { t, y, weight, count } = run(30, 10);
    const apart = (times: number) => lateStart_s({ t: t.map((s) => times * s), y, weight, count }, times * 30);
    expect(Math.abs((apart(2) ?? 0) - 20)).toBeLessThan(3);
    expect(apart(5)).toBeGreaterThan(35);
    expect(apart(5)).toBeLessThan(50);
    expect(apart(5.1)).toBeNull();
  });

  it("is none of a sound pump that is read every five seconds", () => {
    const { t, y, weight, count } = run(20, 0);
    expect(lateStart_s({ t: t.map((s) => 5 * s), y, weight, count }, 100)).toBe(0);
  });
});
