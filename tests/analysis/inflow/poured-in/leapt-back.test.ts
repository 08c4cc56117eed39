import { describe, expect, it } from "vitest";
import { takeOutLeapsBack } from "../../../../analysis/inflow/poured-in/leapt-back.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const own_m3s = 4 / 60_000;

/** Volumes of a rest of 400 s at 4 L/min, noise 0.24 L; `more` comes on top. */
function rest(more: (t: number) => number, every_s = 1) {
  const random = seededRandom(8);
  const count = Math.floor(400 / every_s);
  const t = Float64Array.from({ length: count }, (_, i) => i * every_s);
  const y = t.map((time_s) => 0.02 + own_m3s * time_s + more(time_s) + random.normal(0.00024));
  return { t, y, weight: new Float64Array(count).fill(1), count };
}

const between = (from: number, to: number, volume_m3: number) => (t: number) => (t > from && t < to ? volume_m3 : 0);

describe("takeOutLeapsBack", () => {
  it.each([
    ["up and back, read every second", between(100, 280, 0.016), 1],
    ["up and back, read every 10 s", between(100, 280, 0.016), 10],
    ["down and back", between(100, 280, -0.012), 1],
    [
      "out of the water, where it shows none of what comes in",
      (t: number) => (t > 100 && t < 280 ? -0.02 - own_m3s * t : 0),
      5,
    ],
  ])("passes over a sensor that leaps %s", (_, more, every_s) => {
    const samples = rest(more, every_s);
    expect(takeOutLeapsBack(samples, 0)).toBe(true);
    samples.t.forEach((time_s, i) => {
      expect(Math.abs((samples.y[i] ?? 0) - 0.02 - own_m3s * time_s)).toBeLessThan(0.0015);
      if (time_s > 105 && time_s < 275) expect(samples.weight[i]).toBe(0);
    });
    expect(samples.weight[0]).toBe(1);
  });

  it.each([
    ["nothing but the usual", () => 0, 1],
    ["two spikes up", (t: number) => (t === 100 || t === 200 ? 0.02 : 0), 1],
    ["two spikes down", (t: number) => (t === 100 || t === 200 ? -0.02 : 0), 5],
    ["a bucket", (t: number) => (t > 200 ? 0.01 : 0), 1],
    ["a bucket that splashes", (t: number) => (t > 200 ? 0.01 : 0) + (t > 200 && t < 204 ? 0.004 : 0), 1],
    ["two buckets", (t: number) => (t > 100 ? 0.01 : 0) + (t > 200 ? 0.01 : 0), 1],
    ["a hose of 30 L/min for two minutes", (t: number) => Math.min(120, Math.max(0, t - 100)) * 0.0005, 1],
    ["a run that nobody saw", (t: number) => (t > 200 ? -0.03 : 0), 10],
    ["a bucket, and a run that nobody saw", (t: number) => (t > 100 ? 0.01 : 0) - (t > 200 ? 0.03 : 0), 10],
    ["leaps between readings so far apart that a run may go by", between(100, 280, 0.016), 20],
  ])("leaves %s as it is", (_, more, every_s) => {
    const samples = rest(more, every_s);
    const before = samples.y.slice();
    expect(takeOutLeapsBack(samples, 0)).toBe(false);
    expect(samples.y).toEqual(before);
  });

  it("leaves a rest in a wide basin as it is, whose first readings stand alone and tremble, and of whose others many are one", () => {
    for (let seed = 1; seed <= 20; seed += 1) {
      const random = seededRandom(seed);
      const weight = Float64Array.from({ length: 900 }, (_, i) => (i < 200 ? 1 : 16));
      const t = Float64Array.from({ length: 900 }, (_, i) => (i < 200 ? i : 200 + (i - 200) * 16));
      const y = t.map((time_s, i) => 0.1 + 5e-6 * time_s + random.normal(0.0006) / Math.sqrt(weight[i] ?? 1));
      expect(takeOutLeapsBack({ t, y, weight, count: 900 }, 0)).toBe(false);
    }
  });
});
