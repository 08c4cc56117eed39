import { describe, expect, it } from "vitest";
import { leaveOutOfRuns } from "../../../../analysis/inflow/rest/of-the-runs.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const noise_m3 = 0.0003;

/** A rest of a quarter of an hour at 2 L/min read every minute; `first` and `last` are added to what its ends say. */
function rest(random: { normal(sd: number): number }, first_m3: number, last_m3: number, bend_m3s2 = 0) {
  const count = 15;
  const t = Float64Array.from({ length: count }, (_, i) => 30 + 60 * i);
  const y = t.map(
    (time_s, i) =>
      0.02 +
      (2 / 60_000) * time_s +
      bend_m3s2 * (time_s - 450) ** 2 +
      random.normal(noise_m3) +
      (i === 0 ? first_m3 : i === count - 1 ? last_m3 : 0),
  );
  return { t, y, weight: new Float64Array(count).fill(1), count };
}

function left(first_m3: number, last_m3: number, bend_m3s2 = 0): { first: number; last: number; between: number } {
  const random = seededRandom(31);
  const left = { first: 0, last: 0, between: 0 };
  for (let k = 0; k < 400; k += 1) {
    const samples = rest(random, first_m3, last_m3, bend_m3s2);
    leaveOutOfRuns(samples, 5);
    left.first += (samples.weight[0] as number) / 400;
    left.last += (samples.weight[samples.count - 1] as number) / 400;
    left.between += samples.weight.slice(1, -1).reduce((sum, w) => sum + w, 0) / (samples.count - 2) / 400;
  }
  return left;
}

describe("leaveOutOfRuns", () => {
  it("leaves out a first sample that still sank and a last one that sinks already", () => {
    expect(left(0.0018, -0.0018)).toHaveProperty("between", expect.closeTo(1, 9));
    expect(left(0.0018, -0.0018).first).toBeLessThan(0.03);
    expect(left(0.0018, -0.0018).last).toBeLessThan(0.03);
  });

  it("keeps water that comes back after a stop, or pours in before a start", () => {
    expect(left(-0.0018, 0.0018)).toEqual({
      first: expect.closeTo(1, 9),
      last: expect.closeTo(1, 9),
      between: expect.closeTo(1, 9),
    });
  });

  it("takes hardly more than one in forty of a rest's own ends, also where its inflow slows", () => {
    for (const bend_m3s2 of [0, -1e-8]) {
      const { first, last } = left(0, 0, bend_m3s2);
      expect(first).toBeGreaterThan(0.94);
      expect(last).toBeGreaterThan(0.94);
    }
  });

  it("leaves out all of the last that are of a run whose start was seen late, and no other: a storm's short rest", () => {
    const random = seededRandom(3);
    const falls_s = 11;
    const count = 15;
    const t = Float64Array.from({ length: count }, (_, i) => i);
    // 140 L/min come in, and the pump moves 160.
    const course_m3 = (time_s: number) =>
      (140 / 60_000) * Math.min(time_s, falls_s) - (20 / 60_000) * Math.max(0, time_s - falls_s);
    const y = t.map((time_s) => 0.02 + course_m3(time_s) + random.normal(noise_m3));
    const samples = { t, y, weight: new Float64Array(count).fill(1), count };
    leaveOutOfRuns(samples, 5);
    expect([...samples.weight]).toEqual(Array.from(t, (time_s) => Number(time_s <= falls_s)));
  });

  it("leaves a rest of few samples as it is", () => {
    const few = { t: Float64Array.of(0, 60, 120), y: Float64Array.of(9, 1, 0), weight: new Float64Array(3).fill(1) };
    leaveOutOfRuns({ ...few, count: 3 }, 5);
    expect([...few.weight]).toEqual([1, 1, 1]);
  });
});
