// Base-flow filters by hand: Eckhardt's formula (Hydrol. Process. 19, 2005) and the three passes of Lyne and Hollick as
// Ladson et al. set them down (Aust. J. Water Resources 17(1), 2013). Against a published river they are held by
// tests/real/full-storms.ts, for that river's record may not stand in this project.

import { describe, expect, it } from "vitest";
import { eckhardt } from "../../../analysis/storms/base-flow.ts";
import { lyneHollick } from "./lyne-hollick.ts";

describe("eckhardt", () => {
  it("does what the formula says: ((1 − B)·a·b + (1 − a)·B·Q)/(1 − a·B), never above the flow", () => {
    const base = eckhardt([10, 20, 10, 40], 0.98, 0.8);
    // (0.2 · 0.98 · 10 + 0.02 · 0.8 · 20)/0.216 = 2.28/0.216; then 10.32, which is above the flow; then 2.6/0.216
    expect(base[0]).toBe(10);
    expect(base[1]).toBeCloseTo(2.28 / 0.216, 12);
    expect(base[2]).toBe(10);
    expect(base[3]).toBeCloseTo(2.6 / 0.216, 12);
  });

  it("comes to rest at the highest share of a steady flow that may be base", () => {
    const base = eckhardt(new Array(4000).fill(7), 0.98, 0.8);
    // b = B·Q·(1 − a)/(1 − a·B − (1 − B)·a) = B·Q
    expect(base.at(-1)).toBeCloseTo(0.8 * 7, 9);
  });
});

describe("lyneHollick", () => {
  it("takes a steady flow for base, but for what the first quick flow of each pass leaves", () => {
    // The first quick flow of each pass is the flow itself, and fades over the mirrored values and a little beyond.
    const steady = lyneHollick(new Array(200).fill(3), 0.925);
    expect(steady.slice(60).every((base) => base > 2.4 && base <= 3)).toBe(true);
  });

  it("takes off a peak in a steady flow, and is never above the flow", () => {
    const flow = Array.from({ length: 201 }, (_, i) => (i === 100 ? 30 : 3));
    const base = lyneHollick(flow, 0.925);
    expect(base[100]).toBeLessThan(4);
    base.forEach((value, i) => {
      expect(value).toBeLessThanOrEqual((flow[i] as number) + 1e-12);
    });
  });
});
