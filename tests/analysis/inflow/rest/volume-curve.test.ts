import { describe, expect, it } from "vitest";
import { newRestMemory } from "../../../../analysis/inflow/rest/rest-memory.ts";
import { volumeCurve } from "../../../../analysis/inflow/rest/volume-curve.ts";

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
});
