import { describe, expect, it } from "vitest";
import {
  addSample,
  curveSamples,
  emptySamples,
  forgetAfter,
  gathered,
  readingsOf,
  restartSamples,
  singlesOf,
} from "../../../analysis/cycles/samples.ts";
import * as fc from "../../at-random.ts";

function filled(count: number, volumeAt: (i: number) => number) {
  const samples = emptySamples();
  restartSamples(samples, 1_772_409_600);
  for (let i = 0; i < count; i++) addSample(samples, 1_772_409_600 + i, volumeAt(i));
  return samples;
}

/** Sums of the weights and of the weighted times and volumes. */
function sums(samples: ReturnType<typeof emptySamples>) {
  const { t, y, weight, count } = curveSamples(samples);
  let [w, wt, wy] = [0, 0, 0];
  for (let i = 0; i < count; i++) {
    w += weight[i] ?? 0;
    wt += (weight[i] ?? 0) * (t[i] ?? 0);
    wy += (weight[i] ?? 0) * (y[i] ?? 0);
  }
  return { w, meanT: wt / w, meanY: wy / w };
}

describe("samples", () => {
  it("count none as single that are not, once the latest are forgotten, and take single ones again at the beginning", () => {
    const samples = filled(5000, (i) => i);
    curveSamples(samples);
    forgetAfter(samples, 1_772_409_600 + 4000);
    expect(singlesOf(samples).last).toBe(0);
    forgetAfter(samples, 1_772_409_600 + 100);
    const before = samples.count;
    for (let i = 0; i < 20; i += 1) addSample(samples, 1_772_409_600 + 200 + i, i);
    expect([...curveSamples(samples).weight.subarray(before, before + 20)]).toEqual(Array(20).fill(1));
  });

  it("are kept singly, as times since the beginning, while there are few", () => {
    const samples = curveSamples(filled(1500, (i) => i / 1000));
    expect(samples.count).toBe(1500);
    expect(samples.t[1499]).toBe(1499);
    expect(samples.y[1499]).toBe(1.499);
    expect(samples.weight[1499]).toBe(1);
  });

  it.each([1500, 5000, 40_000])("of %i, those after some time are forgotten, and those before stay", (count) => {
    const samples = filled(count, (i) => 3 + 0.001 * i);
    forgetAfter(samples, 1_772_409_600 + 0.9 * count);
    const { w, meanT, meanY } = sums(samples);
    expect(w / count).toBeCloseTo(0.9, 2);
    expect(samples.taken).toBe(w);
    expect(meanT / count).toBeCloseTo(0.45, 2);
    expect(meanY - 3).toBeCloseTo(0.001 * meanT, 9);
    addSample(samples, 1_772_409_600 + count, 7);
    expect(curveSamples(samples).y[samples.count - 1]).toBe(7);
  });

  it("know how many readings stand behind them", () => {
    const blocks = gathered(filled(9000, () => 1));
    expect(blocks.count).toBeLessThan(3000);
    expect(readingsOf(blocks)).toBe(9000);
    const single = gathered(filled(100, () => 1));
    single.count = 90; // ten were no readings, but held by the sensor
    expect(readingsOf(single)).toBe(90);
  });

  it("keep every sample's weight, mean time and mean volume, however many there are", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 40_000 }), (count) => {
        const { w, meanT, meanY } = sums(filled(count, (i) => 3 + 0.001 * i));
        expect(w).toBe(count);
        expect(meanT).toBeCloseTo((count - 1) / 2, 6);
        expect(meanY).toBeCloseTo(3 + (0.001 * (count - 1)) / 2, 9);
      }),
      { numRuns: 12 },
    );
  });

  it("stay single at first, at the end, and on a straight line all along, a day into a rest", () => {
    const { t, y, weight, count } = curveSamples(filled(86_400, (i) => 0.01 + 0.0001 * i));
    expect([...t.slice(0, 512)]).toEqual(Array.from({ length: 512 }, (_, i) => i));
    for (let i = 0; i < count; i++) expect(y[i]).toBeCloseTo(0.01 + 0.0001 * (t[i] ?? 0), 9);
    expect(weight.slice(0, 512).every((w) => w === 1)).toBe(true);
    expect([...t.slice(count - 64, count)]).toEqual(Array.from({ length: 64 }, (_, i) => 86_400 - 64 + i));
    // Blocks of 64 at the most (1536 of them hold a day), nearly all of them full: about a minute each.
    const blocks = weight.slice(512, count - 64);
    expect(Math.max(...blocks)).toBe(64);
    expect(blocks.filter((w) => w === 64).length / blocks.length).toBeGreaterThan(0.98);
  });

  it("take no more memory after a million than after a thousand", () => {
    const samples = filled(1_000_000, () => 1);
    expect(samples.t.length).toBe(2048);
    expect(samples.count).toBeLessThanOrEqual(2048);
    expect(samples.count).toBeGreaterThan(1024);
    expect(samples.taken).toBe(1_000_000);
  });

  it("come in order of time, without two at one place", () => {
    const { t, count } = curveSamples(filled(10_001, () => 1));
    for (let i = 1; i < count; i++) expect(t[i]).toBeGreaterThan(t[i - 1] ?? Number.NaN);
  });

  it("are forgotten at a restart", () => {
    const samples = filled(5000, (i) => i);
    restartSamples(samples, 100);
    addSample(samples, 103, 7);
    const { t, y, weight, count } = curveSamples(samples);
    expect([count, t[0], y[0], weight[0]]).toEqual([1, 3, 7, 1]);
  });
});
