import { describe, expect, it } from "vitest";
import { type BesideSamples, takeOutSpikeRows } from "../../../../analysis/inflow/sensor-errors/spike-rows.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const inflow_m3s = 4 / 60_000;
const pump_m3s = 90 / 60_000;
const alone: BesideSamples = { before_m3: null, after_m3: [], pumped_m3: pump_m3s, sampleSd_m3: null };

/** Volumes from 30 L on, noise 0.2 L, read every second; `more` comes on top. */
function stretch(seconds: number, pace_m3s: number, more: (t: number) => number) {
  const random = seededRandom(8);
  const t = Float64Array.from({ length: seconds }, (_, i) => i);
  const y = t.map((t_s) => 0.03 + pace_m3s * t_s + more(t_s) + random.normal(0.0002));
  return { t, y, weight: new Float64Array(seconds).fill(1), count: seconds };
}

const rest = (more: (t: number) => number) => stretch(300, inflow_m3s, more);
const run = (more: (t: number) => number) => stretch(20, -pump_m3s, more);
const row =
  (from: number, ...off_l: number[]) =>
  (t: number) =>
    (off_l[t - from] ?? 0) / 1000;
const restEnd_m3 = 0.03 + 300 * inflow_m3s;

describe("takeOutSpikeRows", () => {
  it.each([
    ["three up in a rest", rest(row(100, 15, 12, 20)), alone, [100, 103]],
    ["six either way in a rest", rest(row(100, 15, -12, 20, 14, -9, -16)), alone, [100, 106]],
    ["the last three of a rest", rest(row(297, 15, 12, 20)), { ...alone, after_m3: [restEnd_m3 - 0.001] }, [297, 300]],
    [
      "the last of a rest, where the run's first is one as well, on the other side",
      rest(row(298, 15, 12)),
      { ...alone, after_m3: [restEnd_m3 - 0.03] },
      [298, 300],
    ],
    ["the first two of a rest", rest(row(0, 15, -12)), { ...alone, before_m3: 0.03 }, [0, 2]],
    ["three in a run", run(row(3, 15, 12, 20)), alone, [3, 6]],
    ["the first three of a run", run(row(0, 15, 20, 12)), { ...alone, before_m3: 0.03, sampleSd_m3: 2e-4 }, [0, 3]],
  ] as const)("takes %s out, and puts the course in their place", (_, samples, beside, [from, to]) => {
    const pace_m3s = samples.count === 300 ? inflow_m3s : -pump_m3s;
    takeOutSpikeRows(samples, beside, 0);
    samples.t.forEach((t_s, i) => {
      expect(Math.abs((samples.y[i] as number) - 0.03 - pace_m3s * t_s)).toBeLessThan(0.002);
      expect(samples.weight[i]).toBe(i >= from && i < to ? 0 : 1);
    });
  });

  it.each([
    ["nothing but the usual", rest(() => 0), alone],
    ["a bucket", rest((t) => (t > 100 ? 0.01 : 0)), alone],
    ["a bucket at the end", rest(row(297, 6, 12, 12)), { ...alone, after_m3: [restEnd_m3 + 0.011] }],
    ["a bucket at the end of which nobody knows what became", rest(row(297, 6, 12, 12)), alone],
    [
      "a little at the end that the pump has taken out by the next reading",
      rest(row(298, 3, 5)),
      { ...alone, after_m3: [restEnd_m3 + 0.001], pumped_m3: 0.006 },
    ],
    ["what runs back after a stop", rest((t) => (t < 4 ? -0.012 + 0.003 * t : 0)), { ...alone, before_m3: 0.018 }],
    ["a sensor pushed aside for a minute", rest((t) => (t > 100 && t < 160 ? 0.012 : 0)), alone],
    ["a run that is overtaken by a bucket", run((t) => (t > 5 ? 0.02 : 0)), alone],
    ["foam", rest((t) => (t > 90 && t < 290 ? 0.02 * Math.sin(5 * t * t) : 0)), alone],
  ] as const)("leaves %s as it is", (_, samples, beside) => {
    const before = samples.y.slice();
    takeOutSpikeRows(samples, beside, 0);
    expect(samples.y).toEqual(before);
    expect(samples.weight.every((weight) => weight === 1)).toBe(true);
  });
});
