import { describe, expect, it } from "vitest";
import { newRestMemory } from "../../../../analysis/inflow/rest/rest-memory.ts";
import { volumeCurve } from "../../../../analysis/inflow/rest/volume-curve.ts";
import { randomOf } from "../../../truth/random.ts";

describe("volumeCurve", () => {
  it("follows a rest also where all of a known leak was back before the first of the samples that are left", () => {
    const count = 200;
    const t = Float64Array.from({ length: count }, (_, i) => i);
    // 3 L/min; the first 90 s are left out, and the leak takes 75 s.
    const samples = {
      t,
      y: t.map((time_s) => 0.01 + 5e-5 * time_s),
      weight: t.map((time_s) => (time_s < 90 ? 0 : 1)),
      count,
    };
    const stillOut = (time_s: number) => Math.max(0, 1 - time_s / 75) ** 2;
    const curve = volumeCurve(samples, { stillOut, volume_m3: 0, uVolume_m3: 1e-3 }, newRestMemory());
    expect((curve?.meanSlope(90, 199).slope ?? 0) * 60_000).toBeCloseTo(3, 6);
    expect(curve?.leaking_m3).toBe(0);
  });

  it("carries a curve back over a third of a rest that is left out as other rests bend, not as its few samples do by chance", () => {
    const random = randomOf("few samples");
    const memory = newRestMemory();
    // 0.6 L/min, read each 10 s over three minutes, of which the first is left out; each sample is good to 0.4 L.
    const off_lpm = Array.from({ length: 300 }, () => {
      const t = Float64Array.from({ length: 19 }, (_, i) => 10 * i);
      const y = t.map((time_s) => 1e-5 * time_s + 4e-4 * random.normal());
      const weight = t.map((time_s) => (time_s < 60 ? 0 : 1));
      const curve = volumeCurve({ t, y, weight, count: 19 }, null, memory);
      return Math.abs((curve?.meanSlope(0, 180).slope ?? Number.NaN) * 60_000 - 0.6);
    });
    expect(Math.max(...off_lpm.slice(20))).toBeLessThan(2);
  });

  it("bends rests of a handful of samples as many of them have shown", () => {
    const random = randomOf("a handful of samples");
    const memory = newRestMemory();
    // Read each 10 s over 70 s, good to 0.1 L; what comes in falls by half in 50 s, from 18 L/min on.
    const volume_m3 = (time_s: number) => (3e-4 * 50 * (1 - 2 ** (-time_s / 50))) / Math.LN2;
    const off = Array.from({ length: 80 }, () => {
      const t = Float64Array.from({ length: 8 }, (_, i) => 10 * i);
      const y = t.map((time_s) => volume_m3(time_s) + 1e-4 * random.normal());
      const curve = volumeCurve({ t, y, weight: new Float64Array(8).fill(1), count: 8 }, null, memory);
      const first = curve?.meanSlope(0, 20) ?? { slope: Number.NaN, variance: Number.NaN };
      const off_m3s = first.slope - volume_m3(20) / 20;
      return { share: off_m3s / (volume_m3(20) / 20), inItsU: Math.abs(off_m3s) < 2.5 * Math.sqrt(first.variance) };
    }).slice(30);
    expect(Math.abs(off.reduce((sum, { share }) => sum + share, 0) / off.length)).toBeLessThan(0.04);
    expect(off.filter(({ inItsU }) => inItsU).length).toBeGreaterThan(0.9 * off.length);
  });

  it("holds a leak to what is known of it beside a line through three samples, which would go through them whatever they say", () => {
    const random = randomOf("three samples");
    const memory = { ...newRestMemory(), sampleSd_m3: 2e-4 };
    // Read each 5 s; 120 L/min, and 0.3 L more or less than was put back of what leaks back in a minute.
    const stillOut = (time_s: number) => Math.max(0, 1 - time_s / 60) ** 2;
    const off = Array.from({ length: 100 }, () => {
      const t = Float64Array.from([0, 5, 10]);
      const more_m3 = 3e-4 * random.normal();
      const y = t.map((time_s) => 2e-3 * time_s - more_m3 * stillOut(time_s) + 2e-4 * random.normal());
      const samples = { t, y, weight: new Float64Array(3).fill(1), count: 3 };
      const curve = volumeCurve(samples, { stillOut, volume_m3: 0, uVolume_m3: 3e-4 }, memory);
      const mean = curve?.meanSlope(0, 10) ?? { slope: Number.NaN, variance: Number.NaN };
      return { share: mean.slope / 2e-3 - 1, inItsU: Math.abs(mean.slope - 2e-3) < 2 * Math.sqrt(mean.variance) };
    });
    expect(Math.max(...off.map(({ share }) => Math.abs(share)))).toBeLessThan(0.06);
    expect(off.filter(({ inItsU }) => inItsU).length).toBeGreaterThan(0.85 * off.length);
    expect(off.filter(({ inItsU }) => inItsU).length).toBeLessThan(off.length);
  });

  it("knows the line through two samples beside a leak by the noise that other rests have shown, with some freedom left", () => {
    const memory = { ...newRestMemory(), sampleSd_m3: 2e-4 };
    const stillOut = (time_s: number) => Math.max(0, 1 - time_s / 60) ** 2;
    const [t, y] = [Float64Array.from([0, 10]), Float64Array.from([0, 2e-2])];
    const samples = { t, y, weight: new Float64Array(2).fill(1), count: 2 };
    const curve = volumeCurve(samples, { stillOut, volume_m3: 0, uVolume_m3: 3e-4 }, memory);
    // A t quantile of no degrees of freedom there is not.
    expect(curve?.degreesOfFreedom).toBeGreaterThan(0);
    expect(Math.sqrt(curve?.meanSlope(0, 10).variance ?? 0)).toBeGreaterThan((Math.SQRT2 * 2e-4) / 10 - 1e-9);
  });

  const count = 1200;
  const every_s = 10;

  it("keeps what pours in a dozen times between two runs, rest after rest, though the basin gets no other water", () => {
    const random = randomOf("household");
    const memory = newRestMemory();
    const off = Array.from({ length: 8 }, () => {
      const bursts = Array.from({ length: 12 }, () => ({
        from_s: every_s * count * (0.02 + 0.94 * random.uniform()),
        // 10 L/min for up to two minutes.
        length_s: 30 + 90 * random.uniform(),
      }));
      const volume_m3 = (time_s: number) =>
        bursts.reduce(
          (sum, { from_s, length_s }) => sum + (10 / 60_000) * Math.min(Math.max(0, time_s - from_s), length_s),
          0.05,
        );
      const { samples, last_s } = restOf(volume_m3, () => 0.0009 * random.normal());
      const truth = volume_m3(last_s) - volume_m3(0);
      const slope = volumeCurve(samples, null, memory)?.meanSlope(0, last_s).slope ?? 0;
      return (slope * last_s) / truth - 1;
    });
    expect(Math.max(...off.map(Math.abs))).toBeLessThan(0.04);
  });

  it.each([
    ["as the rest ends", (last_s: number) => last_s - 20],
    ["still as it begins", () => -10],
  ])("follows the few samples of water that pours in %s, which the many beside them hide", (_, from_s) => {
    const random = randomOf("at an end");
    const memory = newRestMemory();
    // 0.6 L/min, and 4 L/min for half a minute; each sample is good to 0.1 L.
    const poured = (time_s: number, start_s: number) => (4 / 60_000) * Math.min(30, Math.max(0, time_s - start_s));
    const rest = (start_s: number) =>
      restOf(
        (time_s) => 0.05 + 1e-5 * time_s + poured(time_s, start_s),
        () => 1e-4 * random.normal(),
      );
    const calm = Number.POSITIVE_INFINITY;
    for (let i = 0; i < 6; i += 1) expect(volumeCurve(rest(calm).samples, null, memory)?.breaks).toBeUndefined();
    const { last_s } = rest(calm);
    const { samples } = rest(from_s(last_s));
    memory.pouring = true;
    expect(volumeCurve(samples, null, memory)?.breaks).toBeDefined();
  });

  it("takes no sensor that wanders over hours for water that comes by turns", () => {
    const random = randomOf("wander");
    const memory = newRestMemory();
    for (let rest = 0; rest < 8; rest += 1) {
      let wander_m3 = 0;
      const { samples } = restOf(
        () => 0.05,
        () => {
          wander_m3 = 0.99 * wander_m3 + 0.0006 * random.normal();
          return wander_m3 + 0.0003 * random.normal();
        },
      );
      expect(volumeCurve(samples, null, memory)?.breaks).toBeUndefined();
    }
  });

  it("parts no rest because means of many readings show more of a wandering sensor than the readings do", () => {
    const random = randomOf("c");
    const memory = newRestMemory();
    // 0.8 L/min once a second; 0.4 L of wander that is forgotten within 400 s, and 0.1 L of noise.
    const keeps = Math.exp(-1 / 400);
    const readings = 3400;
    for (let rest = 0; rest < 60; rest += 1) {
      let wander_m3 = 4e-4 * random.normal();
      const t = Float64Array.from({ length: readings }, (_, i) => i);
      const y = t.map((time_s) => {
        wander_m3 = keeps * wander_m3 + 4e-4 * Math.sqrt(1 - keeps ** 2) * random.normal();
        return 0.05 + 1.3e-5 * time_s + wander_m3 + 1e-4 * random.normal();
      });
      const samples = { t, y, weight: t.map(() => 1), count: readings };
      expect(volumeCurve(samples, null, memory)?.breaks).toBeUndefined();
    }
  });

  function restOf(volume_m3: (time_s: number) => number, error_m3: () => number) {
    const t = Float64Array.from({ length: count }, (_, i) => i * every_s);
    const samples = { t, y: t.map((time_s) => volume_m3(time_s) + error_m3()), weight: t.map(() => 1), count };
    return { samples, last_s: every_s * (count - 1) };
  }
});
