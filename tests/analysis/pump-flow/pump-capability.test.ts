import { describe, expect, it } from "vitest";
import { capabilityLine, capabilitySlope_m2s } from "../../../analysis/pump-flow/capability-line.ts";
import { type CapabilityState, newCapability } from "../../../analysis/pump-flow/capability-state.ts";
import {
  learnAnew,
  learnPooled,
  learnRun,
  learnSlope,
  leaveOutOfPool,
} from "../../../analysis/pump-flow/learn-capability.ts";
import { capabilityAt, roughly } from "../../../analysis/pump-flow/pump-capability.ts";

function learned(rates: readonly number[], u = 0.01, level_m: (i: number) => number = () => 0.2): CapabilityState {
  const state = newCapability();
  rates.forEach((flow_m3s, i) => {
    learnRun(state, { flow_m3s, uFlow_m3s: u, degreesOfFreedom: 30 }, level_m(i), 0.2);
  });
  return state;
}

/** 2 at 0.2 m, and 0.5 more for a metre more. */
function knownLine(): CapabilityState {
  const state = learned(new Array<number>(30).fill(2));
  for (let i = 0; i < 300; i++) learnSlope(state, 0.1, 0.05, 0.001);
  return state;
}

describe("capabilityAt", () => {
  it("is unknown before the third measured run", () => {
    expect(capabilityAt(learned([2, 2]), null)).toBeNull();
    expect(capabilityAt(learned([2, 2, 2]), null)?.flow_m3s).toBe(2);
  });

  it("is hardly moved by one wrong run, and forgets what is thirty runs back", () => {
    expect(capabilityAt(learned([2, 2.01, 1.99, 2, 90]), null)?.flow_m3s).toBeCloseTo(2, 1);
    const changed = [...new Array<number>(100).fill(5), ...new Array<number>(30).fill(7)];
    expect(capabilityAt(learned(changed), null)?.flow_m3s).toBe(7);
  });

  it("weighs a precise rate more: 2 ± 0.1 twice and 2.3 ± 0.3", () => {
    const state = learned([2, 2], 0.1);
    learnRun(state, { flow_m3s: 2.3, uFlow_m3s: 0.3, degreesOfFreedom: 30 }, 0.2);
    // Each u is widened by a third of the typical one, so that none counts for all.
    const [fine, coarse] = [0.01 + 0.01 / 9, 0.09 + 0.01 / 9];
    const mean = (4 / fine + 2.3 / coarse) / (2 / fine + 1 / coarse);
    expect(capabilityAt(state, null)?.flow_m3s).toBeCloseTo(mean, 12);
  });

  it("is as uncertain as its runs say or as they scatter, whichever is more", () => {
    const even = capabilityAt(learned(new Array<number>(16).fill(2), 0.1), null);
    expect(even?.uFlow_m3s).toBeCloseTo(Math.hypot(0.1, 0.1 / 3) / 4, 12);
    const odd = capabilityAt(learned(Array.from({ length: 16 }, (_, i) => 2 + (i % 2) * 0.4)), null);
    expect(odd?.uFlow_m3s).toBeGreaterThan(0.2 / 4);
  });

  it("rises with the water as the runs have shown", () => {
    expect(capabilityAt(knownLine(), 0.2)?.flow_m3s).toBeCloseTo(2, 9);
    expect(capabilityAt(knownLine(), 0.3)?.flow_m3s).toBeCloseTo(2.05, 3);
    expect(capabilityAt(knownLine(), null)?.flow_m3s).toBe(2);
  });

  it("is held from 0.3 m beyond the levels seen on, and less and less sure", () => {
    const state = knownLine();
    // The runs fell from 0.3 to 0.1 m.
    const held = capabilityAt(state, 0.6);
    expect(held?.flow_m3s).toBeCloseTo(2.2, 3);
    expect(capabilityAt(state, 1.1)?.flow_m3s).toBeCloseTo(2.2, 3);
    expect(capabilityAt(state, 1.1)?.uFlow_m3s).toBeGreaterThan(0.24);
    expect(held?.uFlow_m3s).toBeLessThan(0.01);
  });

  it("follows the published curve beyond the levels seen, scaled to what was measured", () => {
    const state = knownLine();
    // Published: half of what was measured at the upper end, 0.3 m, and half as much again at 0.8 m.
    state.expected = { step_m: 0.1, flow_m3s: [1, 1, 1, 1.025, 1.2, 1.3, 1.4, 1.5, 1.5375, 1.6] };
    expect(capabilityAt(state, 0.8)?.flow_m3s).toBeCloseTo(2.05 * 1.5, 2);
  });

  it("is drawn anew after every run, and when the published curve is another", () => {
    const state = learned([2, 2, 2]);
    expect(capabilityAt(state, null)?.flow_m3s).toBe(2);
    for (let i = 0; i < 30; i++) learnRun(state, { flow_m3s: 3, uFlow_m3s: 0.01, degreesOfFreedom: 30 }, 0.2, 0.2);
    expect(capabilityAt(state, null)?.flow_m3s).toBe(3);
    const before = capabilityAt(state, 0.8)?.flow_m3s;
    state.expected = { step_m: 0.1, flow_m3s: [1, 1, 1, 1.025, 1.2, 1.3, 1.4, 1.5, 1.5375, 1.6] };
    expect(capabilityAt(state, 0.8)?.flow_m3s).not.toBe(before);
  });

  it("does without levels", () => {
    const state = learned(new Array<number>(20).fill(2), 0.1, () => Number.NaN);
    expect(capabilityAt(state, 0.6)?.flow_m3s).toBe(2);
  });

  it("is what many runs told together once the pump moves otherwise, whatever it moved before", () => {
    const state = newCapability();
    for (let i = 0; i < 300; i++) learnPooled(state, 0.03, (i % 3) * 20, 15);
    const now = { flow_m3s: 0.7e-3, uFlow_m3s: 0.05e-3, degreesOfFreedom: 19 };
    learnAnew(state, { now, volume_m3: 0.6, runs: 20 });
    const found = capabilityAt(state, null);
    expect(found?.flow_m3s).toBeCloseTo(0.7e-3, 9);
    expect(found?.uFlow_m3s).toBeCloseTo(0.05e-3, 9);
    expect(found?.degreesOfFreedom).toBe(19);
  });

  it("is told by many runs of unknown length together: 30 L each, seen to run for 0, 20 or 40 s", () => {
    const state = newCapability();
    for (let i = 0; i < 300; i++) learnPooled(state, 0.03, (i % 3) * 20, 15);
    const pooled = capabilityAt(state, 0.2);
    expect(pooled?.flow_m3s).toBeCloseTo(0.03 / 20, 4);
    expect(pooled?.uFlow_m3s).toBeCloseTo((0.03 / 20) * (15 / 20 / Math.sqrt(300)), 5);
    const few = newCapability();
    for (let i = 0; i < 20; i++) learnPooled(few, 0.03, (i % 3) * 20, 15);
    expect(capabilityAt(few, 0.2)).toBeNull();
  });
});

describe("leaveOutOfPool", () => {
  it("keeps the pool silent where more than a tenth of the runs are left out", () => {
    const state = newCapability();
    for (let i = 0; i < 300; i++) {
      if (i % 10 === 5) leaveOutOfPool(state);
      learnPooled(state, 0.03, (i % 3) * 20, 15);
    }
    expect(capabilityAt(state, null)).not.toBeNull();
    leaveOutOfPool(state);
    expect(capabilityAt(state, null)).toBeNull();
  });

  it("takes many that are left out one after the other for one storm, which says nothing of the others", () => {
    const state = newCapability();
    for (let i = 0; i < 300; i++) learnPooled(state, 0.03, (i % 3) * 20, 15);
    for (let i = 0; i < 200; i++) leaveOutOfPool(state);
    expect(capabilityAt(state, null)).not.toBeNull();
  });
});

describe("capabilitySlope_m2s", () => {
  it("is, before the runs show it, that of a usual pump: 15 % more flow for a metre less of lift", () => {
    expect(capabilitySlope_m2s(learned([2, 2, 2]))).toBeCloseTo(0.3, 12);
    expect(capabilitySlope_m2s(learned([2, 2]))).toBe(0);
  });

  it("is, before the runs show it, that of the published curve, scaled to what was measured", () => {
    const state = learned([2, 2, 2]);
    state.expected = { step_m: 0.1, flow_m3s: [0.8, 0.9, 1, 1.1, 1.2] };
    expect(capabilitySlope_m2s(state)).toBeCloseTo(2, 9);
  });

  it("is never under 0, whatever noise says", () => {
    const state = learned([2, 2, 2]);
    for (let i = 0; i < 300; i++) learnSlope(state, 0.1, -0.05, 0.001);
    expect(capabilitySlope_m2s(state)).toBe(0);
  });

  it("gives an odd run no more weight than three standard deviations have", () => {
    const state = knownLine();
    learnSlope(state, 0.1, 50, 0.001);
    expect(capabilitySlope_m2s(state)).toBeCloseTo(0.5, 2);
  });

  it("is as the runs alone show it where that is asked, with its uncertainty", () => {
    const line = capabilityLine(knownLine());
    // 300 runs, each 0.01 m²/s unsure, the oldest down to e⁻¹: some 190 count.
    expect(line?.ownSlope?.slope_m2s).toBeCloseTo(0.5, 9);
    expect(line?.ownSlope?.uSlope_m2s).toBeCloseTo(0.01 / Math.sqrt(300 * (1 - (1 - 1 / 300) ** 300)), 6);
    expect(line).toMatchObject({ lowest_m: expect.closeTo(0.1, 9), highest_m: expect.closeTo(0.3, 9) });
  });
});

describe("roughly", () => {
  const expected = { step_m: 1, flow_m3s: [1.2, 1.2] };

  it("is what the published curve gives before anything is learned, and known to a fifth", () => {
    const state = { ...newCapability(), expected };
    expect(roughly(state, 0.2)).toMatchObject({ flow_m3s: 1.2, uFlow_m3s: expect.closeTo(0.24, 6) });
    expect(roughly(newCapability(), 0.2)).toBeNull();
    expect(roughly(state, null)).toBeNull();
  });

  it("lies between what the curve gives and what few runs of unknown length say, and closer to many", () => {
    const state = { ...newCapability(), expected };
    for (let i = 0; i < 10; i++) learnPooled(state, 10, 10, 6);
    const few = roughly(state, 0.2);
    for (let i = 0; i < 300; i++) learnPooled(state, 10, 10, 6);
    const many = roughly(state, 0.2);
    expect(few?.flow_m3s).toBeGreaterThan(1.05);
    expect(few?.flow_m3s).toBeLessThan(1.15);
    expect(many?.flow_m3s).toBeCloseTo(1, 1);
    expect(many?.uFlow_m3s).toBeLessThan((few?.uFlow_m3s ?? 0) / 2);
  });

  it("is what the measured runs say, once there are any, whatever the curve gives", () => {
    expect(roughly({ ...learned([2, 2, 2]), expected }, 0.2)?.flow_m3s).toBe(2);
  });
});
