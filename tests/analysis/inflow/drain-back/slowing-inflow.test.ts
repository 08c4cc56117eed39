import { describe, expect, it } from "vitest";
import { besideSlowing, heldOff_m3, withHeldOff } from "../../../../analysis/inflow/drain-back/slowing-inflow.ts";

const leak = { course: "draining", time_s: 120, volume_m3: 0.006 } as const;
const rest = { from_s: 0, length_s: 1000, slope_m3s: 2e-5, bend_m3s2: 0 };

describe("besideSlowing", () => {
  it("leaves a leak as it is beside a straight inflow", () => {
    // A leak alone has a slope and a bend, too: put back, so that inflow is straight.
    const straight = besideSlowing({ ...leak, volume_m3: 1e-9 }, rest);
    expect(straight.volume_m3).toBeCloseTo(1e-9, 14);
    expect(straight.slowing_1s).toBeCloseTo(0, 5);
    expect(straight.uVolume_m3).toBeLessThan(1e-12);
  });

  it("has how inflow slows from its bend and slope: dV/dt = k·(V_ground − V) bends by k/2 of its slope", () => {
    // What is back within seconds has hardly any slope or bend of its own.
    const quick = { course: "steady", time_s: 15, volume_m3: 2e-4 } as const;
    const found = besideSlowing(quick, { ...rest, bend_m3s2: -0.5 * 4e-4 * 2e-5 });
    expect(found.slowing_1s / 4e-4).toBeCloseTo(1, 1);
    expect(found.bend_m3s2 / -4e-9).toBeCloseTo(1, 1);
  });

  it("doubts, and does not correct, a leak beside inflow that grows as the basin fills", () => {
    const found = besideSlowing(leak, { ...rest, bend_m3s2: 4e-9 });
    expect(found.volume_m3).toBe(leak.volume_m3);
    expect(found.slowing_1s).toBe(0);
    expect(found.uVolume_m3).toBeGreaterThan(0);
  });

  it("is not sure of a leak where the correction is more than half of it", () => {
    const small = { course: "draining", time_s: 300, volume_m3: 5e-4 } as const;
    const slowing = (k_1s: number) => besideSlowing(small, { ...rest, bend_m3s2: -0.5 * k_1s * 2e-5 });
    const found = slowing(2e-3);
    expect(found.volume_m3).toBe(small.volume_m3);
    expect(found.uVolume_m3).toBeCloseTo(small.volume_m3 / Math.sqrt(3), 12);
    const shares = Array.from({ length: 40 }, (_, i) => slowing(i * 5e-5).volume_m3 / small.volume_m3);
    for (const share of shares) expect(Math.abs(share - 1)).toBeLessThan(0.55);
  });
});

describe("withHeldOff", () => {
  it("adds to the inflow what the leak held off: in all as much as it stood in the basin, times k", () => {
    const slowing_1s = 5e-4;
    const curve = {
      valueAt: (t: number) => 2e-5 * t,
      meanSlope: () => ({ slope: 2e-5, variance: 0 }),
      sampleSd: 1e-4,
      degreesOfFreedom: 100,
      leaking_m3: 0,
    };
    const held = withHeldOff(curve, heldOff_m3({ ...leak, slowing_1s }));
    // Under a square that is empty after 120 s: a third of that.
    const all_m3 = 0.006 * slowing_1s * 40;
    expect(held.valueAt(1000) - held.valueAt(0)).toBeCloseTo(0.02 + all_m3, 12);
    const { slope, variance } = held.meanSlope(0, 1000);
    expect(slope).toBeCloseTo(2e-5 + all_m3 / 1000, 12);
    expect(Math.sqrt(variance)).toBeCloseTo(all_m3 / 1000 / Math.sqrt(3), 12);
    expect(held.meanSlope(200, 1000).slope).toBeCloseTo(2e-5, 12);
  });
});
