import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../../analysis/analyzer.ts";
import { leaveOutOfRuns } from "../../../../analysis/inflow/rest/of-the-runs.ts";
import { fitLine } from "../../../../analysis/statistics/fit-line.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

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
    leaveOutOfRuns(samples, 5, noise_m3);
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
    leaveOutOfRuns(samples, 5, noise_m3);
    expect([...samples.weight]).toEqual(Array.from(t, (time_s) => Number(time_s <= falls_s)));
  });

  it("leaves a rest of few samples as it is", () => {
    const few = { t: Float64Array.of(0, 60, 120), y: Float64Array.of(9, 1, 0), weight: new Float64Array(3).fill(1) };
    leaveOutOfRuns({ ...few, count: 3 }, 5, noise_m3);
    expect([...few.weight]).toEqual([1, 1, 1]);
  });
});

describe("leaveOutOfRuns of a rest of few readings", () => {
  const few = (count: number, ends_m3: number, uEach_m3 = 1e-4) => {
    const t = Float64Array.from({ length: count }, (_, i) => 30 * i);
    const y = t.map((time_s, i) => 1e-4 * time_s + (i === 0 ? ends_m3 : i === count - 1 ? -ends_m3 : 0));
    const samples = { t, y, weight: new Float64Array(count).fill(1), count };
    leaveOutOfRuns(samples, 5, uEach_m3);
    return [...samples.weight];
  };

  it("leaves out an end that lies as a run lays it, as long as three are left", () => {
    expect(few(6, 5e-4)).toEqual([0, 1, 1, 1, 1, 0]);
    expect(few(5, 5e-4)).toEqual([0, 1, 1, 1, 0]);
    expect(few(5, -5e-4)).toEqual([1, 1, 1, 1, 1]);
    expect(few(4, 5e-4)).toEqual([1, 1, 1, 1]);
  });

  it("leaves what the noise of a reading lays so where it is", () => {
    expect(few(6, 5e-4, 3e-4)).toEqual([1, 1, 1, 1, 1, 1]);
  });

  it("takes hardly any rise out of noise, though a run lays its own to one side alone", () => {
    const random = seededRandom(3);
    for (const count of [5, 6, 7, 8, 9]) {
      let rose_m3 = 0;
      for (let k = 0; k < 2000; k += 1) {
        const t = Float64Array.from({ length: count }, (_, i) => i);
        const samples = { t, y: t.map(() => random.normal(noise_m3)), weight: t.map(() => 1), count };
        leaveOutOfRuns(samples, 1, noise_m3);
        const kept = [...t].filter((i) => samples.weight[i] === 1);
        const { slope } = fitLine(
          kept,
          kept.map((i) => samples.y[i] as number),
        );
        rose_m3 += (slope * (count - 1)) / 2000;
      }
      expect(Math.abs(rose_m3)).toBeLessThan(0.2 * noise_m3);
    }
  });

  it("lets the level alone tell what comes in where the pump runs for most of the time", () => {
    const random = seededRandom(8);
    const [fills_s, empties_s, interval_s] = [107, 365, 30];
    const analyzer = createAnalyzer(smallSite);
    for (let time_s = 0; time_s < 60 * (fills_s + empties_s); time_s += interval_s) {
      const phase_s = time_s % (fills_s + empties_s);
      const share = phase_s < fills_s ? phase_s / fills_s : 1 - (phase_s - fills_s) / empties_s;
      analyzer.push(reading(startTime_s + time_s, { level_m: 0.1 + 0.2 * share + random.normal(0.001) }));
    }
    analyzer.finish();
    const inflow_lpm = (60_000 * area_m2 * 0.2) / fills_s;
    expect(Math.abs((analyzer.summary().inflow.mean_lpm ?? 0) / inflow_lpm - 1)).toBeLessThan(0.03);
  });
});
