import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import { thinInflow } from "../../../daemon/stores/thin-inflow.ts";

const stretch = (from_s: number, to_s: number, inflow_m3s: number, uInflow_m3s = 0): InflowStretch => ({
  from_s,
  to_s,
  inflow_m3s,
  uInflow_m3s,
});

describe("thinInflow", () => {
  it("leaves few stretches as they are", () => {
    const few = [stretch(0, 10, 1), stretch(10, 20, 2)];
    expect(thinInflow(few, { from_s: 0, to_s: 100 }, 2)).toEqual(few);
  });

  it("joins neighbours by their mean, weighted with time", () => {
    // (1 × 10 + 4 × 30) / 40 = 3.25; u: (0.1 × 10 + 0.2 × 30) / 40 = 0.175
    const two = [stretch(0, 10, 1, 0.1), stretch(10, 40, 4, 0.2)];
    expect(thinInflow(two, { from_s: 0, to_s: 40 }, 1)).toEqual([stretch(0, 40, 3.25, 0.175)]);
  });

  it("keeps a gap", () => {
    const three = [stretch(0, 10, 1), stretch(20, 30, 3), stretch(30, 40, 5)];
    expect(thinInflow(three, { from_s: 0, to_s: 40 }, 1)).toEqual([stretch(0, 10, 1), stretch(20, 40, 4)]);
  });

  it("keeps the volume that came in", () => {
    const many = Array.from({ length: 997 }, (_, i) => stretch(i * 7, i * 7 + 7, (i % 13) + 1));
    const volume = (all: readonly InflowStretch[]) => all.reduce((v, s) => v + s.inflow_m3s * (s.to_s - s.from_s), 0);
    const thinned = thinInflow(many, { from_s: 0, to_s: 997 * 7 }, 50);
    expect(thinned.length).toBe(50);
    expect(volume(thinned)).toBeCloseTo(volume(many), 6);
  });

  it("copes with stretches that have no length, and a span without an end", () => {
    const none = [stretch(5, 5, 1), stretch(5, 5, 2), stretch(5, 5, 3)];
    const everything = { from_s: Number.NEGATIVE_INFINITY, to_s: Number.POSITIVE_INFINITY };
    for (const { inflow_m3s } of thinInflow(none, everything, 1)) expect(inflow_m3s).toBeGreaterThan(0);
  });
});
