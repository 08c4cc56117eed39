import { describe, expect, it } from "vitest";
import { dryGround, runoffOf } from "../../../../daemon/sources/simulated/runoff.ts";

const sum = (values: Float64Array) => values.reduce((total, value) => total + value, 0);

describe("runoffOf", () => {
  it("gives all the rain back in the end", () => {
    const rain_mm = new Float64Array(40_000);
    rain_mm.fill(0.1, 10, 130); // 12 mm
    const { runoff_mmh } = runoffOf(rain_mm, dryGround);
    expect(sum(runoff_mmh) / 60).toBeCloseTo(12, 6);
  });

  it("comes to the rate of a rain that does not end", () => {
    const { runoff_mmh } = runoffOf(new Float64Array(20_000).fill(6 / 60), dryGround);
    expect(runoff_mmh.at(-1)).toBeCloseTo(6, 6);
  });

  it("waits out its delay, rises fast and dies away slowly", () => {
    const rain_mm = new Float64Array(3000);
    rain_mm.fill(0.5, 0, 60);
    const { runoff_mmh } = runoffOf(rain_mm, dryGround);
    expect(runoff_mmh[19]).toBe(0);
    expect(runoff_mmh.indexOf(Math.max(...runoff_mmh))).toBe(79);
    // long after the rain only the slow reservoir runs: it halves in ln 2 · 15 h = 624 min
    expect((runoff_mmh[2000 + 624] ?? 0) / (runoff_mmh[2000] ?? 0)).toBeCloseTo(0.5, 3);
  });

  it("carries the state of the ground on into the next week", () => {
    const rain_mm = new Float64Array(2000);
    rain_mm.fill(0.2, 100, 200);
    const whole = runoffOf(rain_mm, dryGround).runoff_mmh;
    const first = runoffOf(rain_mm.slice(0, 1000), dryGround);
    const second = runoffOf(rain_mm.slice(1000), first.end);
    expect(second.runoff_mmh.at(-1)).toBeCloseTo(whole.at(-1) ?? Number.NaN, 12);
  });
});
