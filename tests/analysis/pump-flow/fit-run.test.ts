import { describe, expect, it } from "vitest";
import { fitRun } from "../../../analysis/pump-flow/fit-run.ts";
import type { CurveSamples } from "../../../analysis/statistics/fit-curve.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { area_m2 } from "../small-basin.ts";

const stored_m3 = 0.03;
/** 66 L/min out, 6 L/min in. */
const fall_m3s = 1e-3;

function runCourse(duration_s: number, volumeAt: (t: number) => number, noise_m = 0, seed = 1): CurveSamples {
  const random = seededRandom(seed);
  const t = Float64Array.from({ length: duration_s }, (_, i) => i + 0.5);
  return {
    t,
    y: t.map((time) => volumeAt(time) + area_m2 * random.normal(noise_m)),
    weight: new Float64Array(duration_s).fill(1),
    count: duration_s,
  };
}

const even = (t: number) => stored_m3 - fall_m3s * t;

describe("fitRun", () => {
  it("finds an even fall exactly, and the volume at the stop", () => {
    const fit = fitRun(runCourse(20, even), 20);
    expect((fit?.fall(3, 20).flow_m3s ?? 0) / fall_m3s).toBeCloseTo(1, 10);
    expect(fit?.stopVolume_m3).toBeCloseTo(0.01, 10);
    expect(fit?.volumeAt_m3(10)).toBeCloseTo(0.02, 10);
  });

  it("leaves the first three seconds out, in which the pump gets up to speed, or a third of a short run", () => {
    const slowStart = (t: number) => even(t) + 0.001 * Math.exp(-t / 0.5);
    const fit = fitRun(runCourse(20, slowStart), 20);
    expect(fit?.upToSpeed_s).toBe(3);
    expect((fit?.fall(3, 20).flow_m3s ?? 0) / fall_m3s).toBeCloseTo(1, 3);
    expect(fitRun(runCourse(6, even), 6)?.upToSpeed_s).toBe(2);
  });

  it("states an uncertainty that fits the noise: about √12 σ A / N^1.5", () => {
    const fits = Array.from({ length: 60 }, (_, seed) =>
      fitRun(runCourse(20, even, 0.0015, seed + 1), 20)?.fall(3, 20),
    );
    const expected = (Math.sqrt(12) * 0.0015 * area_m2) / 17 ** 1.5;
    const rms = Math.sqrt(fits.reduce((sum, fit) => sum + ((fit?.flow_m3s ?? 0) - fall_m3s) ** 2, 0) / 60);
    expect(rms).toBeLessThan(1.5 * expected);
    const stated = fits.reduce((sum, fit) => sum + (fit?.uFlow_m3s ?? 0), 0) / 60;
    expect(stated / rms).toBeGreaterThan(0.6);
    expect(stated / rms).toBeLessThan(1.6);
  });

  it("neither bends nor loses a sound sample by the chance of a dozen, once the rests have shown the sensor's noise", () => {
    const noise_m3 = 0.0015 * area_m2;
    const samples = 11;
    // What independent errors make of a line's slope, as the rests would have shown it.
    const tilt_m6s = (12 * noise_m3 ** 2 * (samples - 1) ** 3) / (samples * (samples ** 2 - 1));
    const sensor = {
      sampleSd_m3: noise_m3,
      short: { length_s: samples - 1, tilt_m6s, single_m6: noise_m3 ** 2, stretches: 300 },
      step_m3: Number.POSITIVE_INFINITY,
      lag_s: 0,
      startVolume_m3: null,
    };
    const errors = Array.from({ length: 1500 }, (_, seed) => {
      const fall = fitRun(runCourse(samples + 3, even, 0.0015, seed + 1), samples + 3, 0, sensor)?.fall(3, samples + 3);
      return ((fall?.flow_m3s ?? 0) - fall_m3s) / (fall?.uFlow_m3s ?? 0);
    });
    const squares = errors.reduce((sum, error) => sum + error ** 2, 0) / errors.length;
    expect(Math.sqrt(squares)).toBeLessThan(1.05);
    expect(errors.filter((error) => Math.abs(error) > 3.3).length).toBeLessThan(8);
  });

  it("says less surely how fast a bent fall goes than a line through the same samples would", () => {
    const sensor = {
      sampleSd_m3: 1e-5,
      short: { length_s: 20, tilt_m6s: 1e-9, single_m6: 1e-10, stretches: 300 },
      step_m3: Number.POSITIVE_INFINITY,
      lag_s: 0,
      startVolume_m3: null,
    };
    // A fall that quickens towards both ends, by far more than the noise.
    const bent = (t: number) => even(t) - 1e-6 * (t - 11.5) ** 3;
    const u_m3s = (course: (t: number) => number) =>
      fitRun(runCourse(20, course, 1e-6), 20, 0, sensor)?.fall(3, 20).uFlow_m3s ?? 0;
    expect(u_m3s(bent)).toBeGreaterThan(1.5 * u_m3s(even));
  });

  it("follows a flow that falls with the level, early and late in the run", () => {
    // The fall goes evenly from 1.2 to 0.8 L/s over 40 s.
    const bent = (t: number) => stored_m3 + 0.02 - 1.2e-3 * t + (0.4e-3 * t ** 2) / 80;
    const fit = fitRun(runCourse(40, bent, 0.0003), 40);
    expect((fit?.fall(3, 10).flow_m3s ?? 0) * 1000).toBeCloseTo(1.2 - 0.01 * 6.5, 1);
    expect((fit?.fall(30, 40).flow_m3s ?? 0) * 1000).toBeCloseTo(1.2 - 0.01 * 35, 1);
  });

  it("does not say where the water stood at the stop when it was last seen long before", () => {
    const samples = runCourse(20, even);
    expect(fitRun(samples, 60)?.stopVolume_m3).toBeNull();
  });

  it("has no answer from fewer than four readings after the spin-up", () => {
    expect(fitRun(runCourse(6, even), 18)).toBeUndefined();
    expect(fitRun(runCourse(0, even), 0)).toBeUndefined();
  });
});
