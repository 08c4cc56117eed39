import { describe, expect, it } from "vitest";
import { takeOutFall, takeOutPour } from "../../../../analysis/inflow/poured-in/poured-in.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const own_m3s = 4 / 60_000;

/** Volumes of a rest of 400 s at 4 L/min, noise 0.24 L; `more` comes on top. */
function rest(more: (t: number) => number, every_s = 1) {
  const random = seededRandom(8);
  const count = 400 / every_s;
  const t = Float64Array.from({ length: count }, (_, i) => i * every_s);
  const y = t.map((time_s) => 0.02 + own_m3s * time_s + more(time_s) + random.normal(0.00024));
  return { t, y, weight: new Float64Array(count).fill(1), count };
}

const bucket_m3 = 0.01;

describe("readings far apart", () => {
  it("show no bucket by noise alone, of which the steepest of a long rest's stands out", () => {
    for (let seed = 1; seed <= 40; seed += 1) {
      const random = seededRandom(seed);
      const t = Float64Array.from({ length: 500 }, (_, i) => 10 * i);
      const y = t.map((time_s) => 0.02 + 5e-6 * time_s + random.normal(0.0005));
      const samples = { t, y, weight: t.map(() => 1), count: t.length };
      expect(takeOutPour(samples, 0)).toBeNull();
      expect(takeOutFall(samples, 0)).toBeNull();
    }
  });
});

describe("takeOutPour", () => {
  it("finds 10 L in 5 s, to a fifth of a litre and two seconds, and leaves the rest as it was without", () => {
    const samples = rest((t) => bucket_m3 * Math.min(1, Math.max(0, (t - 200) / 5)));
    const pour = takeOutPour(samples, 0);
    expect(Math.abs((pour?.volume_m3 ?? 0) - bucket_m3)).toBeLessThan(0.0004);
    expect(Math.abs((pour?.from_s ?? 0) - 200)).toBeLessThanOrEqual(2);
    expect(Math.abs((pour?.to_s ?? 0) - 205)).toBeLessThanOrEqual(2);
    expect(Math.abs((samples.y[399] ?? 0) - 0.02 - own_m3s * 399)).toBeLessThan(0.0015);
    expect(samples.weight[202]).toBe(0);
    expect(samples.weight[100]).toBe(1);
  });

  it("finds none between a stretch that was put on a line, as it has no weight, and what follows", () => {
    const samples = rest(() => 0);
    for (let i = 150; i < 200; i += 1) {
      samples.y[i] = (samples.y[150] ?? 0) - 0.002;
      samples.weight[i] = 0;
    }
    expect(takeOutPour(samples, 0)).toBeNull();
  });

  it.each([
    ["nothing but the usual", () => 0],
    ["a hose of 15 L/min", (t: number) => Math.max(0, t - 200) * (15 / 60_000)],
    ["a storm of 60 L/min", (t: number) => Math.max(0, t - 200) * 0.001],
    ["a storm of 96 L/min that breaks twenty seconds before the end", (t: number) => Math.max(0, t - 380) * 0.0016],
    ["water that runs back after the stop", (t: number) => -0.006 * Math.exp(-t / 3)],
    ["one spike of 8 L", (t: number) => (t === 200 ? 0.008 : 0)],
    ["half a litre", (t: number) => (t > 200 ? 0.0005 : 0)],
  ])("takes %s for no bucket", (_, more) => {
    expect(takeOutPour(rest(more), 0)).toBeNull();
  });

  it("finds a bucket among readings 10 s apart", () => {
    const samples = rest((t) => (t > 200 ? bucket_m3 : 0), 10);
    expect(Math.abs((takeOutPour(samples, 0)?.volume_m3 ?? 0) - bucket_m3)).toBeLessThan(0.0006);
  });

  it("takes one step of a coarse sensor for no bucket", () => {
    const bucket = (t: number) => (t > 200 ? 0.008 : 0);
    expect(takeOutPour(rest(bucket), 0.005)).toBeNull();
  });
});

describe("takeOutFall", () => {
  it.each([1, 5, 10])(
    "finds a level that falls by 10 L at once, read every %d s, and raises what follows",
    (every_s) => {
      const samples = rest((t) => (t > 200 ? -bucket_m3 : 0), every_s);
      expect(Math.abs((takeOutFall(samples, 0)?.volume_m3 ?? 0) + bucket_m3)).toBeLessThan(0.0006);
      const last = samples.count - 1;
      expect(Math.abs((samples.y[last] ?? 0) - 0.02 - own_m3s * (samples.t[last] ?? 0))).toBeLessThan(0.0015);
    },
  );

  it.each([
    ["nothing but the usual", () => 0],
    ["water that runs back after the stop", (t: number) => -0.006 * Math.exp(-t / 3)],
    ["one spike down of 8 L", (t: number) => (t === 200 ? -0.008 : 0)],
    ["water drawn for half a minute", (t: number) => -0.0005 * Math.min(30, Math.max(0, t - 200))],
  ])("takes %s for no fall", (_, more) => {
    expect(takeOutFall(rest(more), 0)).toBeNull();
  });
});
