import { describe, expect, it } from "vitest";
import { stepMoments } from "../../../../analysis/inflow/rest/step-moments.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const step_m3 = 1e-3;
/** A step in 40 s, a little quicker at first. */
const risen = (t: number) => 0.037 + (t / 40) * step_m3 + 2e-4 * step_m3 * t * (1 - t / 1200);
const duration_s = 1200;

function told(noise_steps: number, volume_m3 = risen, interval_s = 1) {
  const random = seededRandom(3);
  const count = Math.floor(duration_s / interval_s);
  const t = Float64Array.from({ length: count }, (_, i) => (i + 1) * interval_s);
  const y = t.map((time_s) => Math.round(volume_m3(time_s) / step_m3 + random.normal(noise_steps)) * step_m3);
  return { t, y, weight: new Float64Array(count).fill(1), count };
}

/** How far the water stands from where it is said to, at the moments that were found, in seconds of its rise. */
function errorsOf(moments: ReturnType<typeof stepMoments>): number[] {
  const { t, y, count } = moments ?? { t: [], y: [], count: 0 };
  const rate_m3s = (risen(duration_s) - risen(0)) / duration_s;
  return Array.from({ length: count }, (_, i) => (risen(t[i] ?? 0) - (y[i] ?? 0)) / rate_m3s);
}

describe("stepMoments", () => {
  it("finds each change of a sensor without noise to half an interval between readings", () => {
    const errors = errorsOf(stepMoments(told(0), step_m3, 0.29 * step_m3));
    expect(errors.length).toBeGreaterThan(28);
    for (const error_s of errors) expect(Math.abs(error_s)).toBeLessThan(0.7);
  });

  it("takes the middle of the flicker where a little noise makes a sensor change to and fro", () => {
    const errors = errorsOf(stepMoments(told(0.1), step_m3, 0.3 * step_m3));
    expect(errors.length).toBeGreaterThan(27);
    // Of a step of 40 s noise of a tenth is 4 s, and some ten readings tell of each change.
    for (const error_s of errors) expect(Math.abs(error_s)).toBeLessThan(6);
    expect(Math.abs(errors.reduce((sum, error_s) => sum + error_s, 0) / errors.length)).toBeLessThan(0.7);
  });

  it("finds the same by mean values of readings", () => {
    const single = told(0.1);
    const mean = (values: Float64Array) =>
      Float64Array.from({ length: 300 }, (_, i) => values.subarray(4 * i, 4 * i + 4).reduce((a, b) => a + b, 0) / 4);
    const head = { t: single.t.subarray(0, 100), y: single.y.subarray(0, 100) };
    const t = Float64Array.from([...head.t, ...mean(single.t).subarray(25)]);
    const y = Float64Array.from([...head.y, ...mean(single.y).subarray(25)]);
    const weight = t.map((_, i) => (i < 100 ? 1 : 4));
    const moments = stepMoments({ t, y, weight, count: t.length }, step_m3, 0.5 * step_m3);
    const expected = stepMoments(single, step_m3, 0.3 * step_m3);
    expect(moments?.count).toBe(expected?.count);
    for (let i = 0; i < (moments?.count ?? 0); i += 1) {
      expect(moments?.y[i]).toBeCloseTo(expected?.y[i] ?? 0, 9);
      expect(moments?.t[i]).toBeCloseTo(expected?.t[i] ?? 0, 6);
    }
  });

  it("says nothing where noise blurs the steps, water falls, readings are few to a step, or steps to a rest", () => {
    expect(stepMoments(told(0.4), step_m3, 0.5 * step_m3)).toBeNull();
    expect(
      stepMoments(
        told(0, (t) => risen(t < 600 ? t : 1200 - t)),
        step_m3,
        0.29 * step_m3,
      ),
    ).toBeNull();
    expect(stepMoments(told(0, risen, 15), step_m3, 0.29 * step_m3)).toBeNull();
    expect(
      stepMoments(
        told(0, (t) => risen(t / 3)),
        step_m3,
        0.29 * step_m3,
      ),
    ).toBeNull();
  });

  it("says nothing of volumes between the steps: something was moved", () => {
    const samples = told(0);
    for (let i = 700; i < samples.count; i += 1) samples.y[i] = (samples.y[i] ?? 0) + 0.4 * step_m3;
    expect(stepMoments(samples, step_m3, 0.29 * step_m3)).toBeNull();
  });
});
