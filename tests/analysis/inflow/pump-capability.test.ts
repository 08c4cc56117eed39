import { describe, expect, it } from "vitest";
import { capabilityAt, learnRun, learnSlope, newCapability } from "../../../analysis/inflow/pump-capability.ts";

function learned(rates: readonly number[], u = 0.01, level_m: (i: number) => number = () => 0.2) {
  const state = newCapability();
  rates.forEach((flow_m3s, i) => {
    learnRun(state, { flow_m3s, uFlow_m3s: u, degreesOfFreedom: 30 }, level_m(i));
  });
  return state;
}

describe("capabilityAt", () => {
  it("is unknown before the third measured run", () => {
    expect(capabilityAt(learned([2, 2]), null)).toBeNull();
    expect(capabilityAt(learned([2, 2, 2]), null)?.flow_m3s).toBe(2);
  });

  it("is the median of the last twenty, so that one wrong run does not move it", () => {
    expect(capabilityAt(learned([1, 2, 3, 4, 90]), null)?.flow_m3s).toBe(3);
    expect(capabilityAt(learned([1, 2, 3, 4]), null)?.flow_m3s).toBe(2.5);
    const changed = [...new Array<number>(100).fill(5), ...new Array<number>(20).fill(7)];
    expect(capabilityAt(learned(changed), null)?.flow_m3s).toBe(7);
  });

  it("is as uncertain as a median of n: 1.2533 u/√n, u the runs' own or their spread, whichever is more", () => {
    expect(capabilityAt(learned([2, 2, 2, 2], 0.1), null)).toEqual({
      flow_m3s: 2,
      uFlow_m3s: expect.closeTo((1.2533 * 0.1) / 2, 12),
      degreesOfFreedom: 3,
    });
    // Deviations from the median 3 are 2 1 0 1 2: their median 1 times 1.4826.
    expect(capabilityAt(learned([1, 2, 3, 4, 5], 0.1), null)?.uFlow_m3s).toBeCloseTo(
      (1.2533 * 1.4826) / Math.sqrt(5),
      12,
    );
  });

  it("rises with the water once twenty runs have shown how much", () => {
    const state = learned(new Array<number>(20).fill(2));
    // In each run the level falls by 0.1 m between its halves and the flow by 0.05: slope 0.5.
    for (let i = 0; i < 20; i++) learnSlope(state, 0.1, 0.05);
    expect(capabilityAt(state, 0.2)?.flow_m3s).toBe(2);
    expect(capabilityAt(state, 0.6)?.flow_m3s).toBeCloseTo(2 + 0.5 * 0.4, 12);
    expect(capabilityAt(state, null)?.flow_m3s).toBe(2);
    const early = learned([2, 2, 2]);
    learnSlope(early, 0.1, 0.05);
    expect(capabilityAt(early, 0.6)?.flow_m3s).toBe(2);
  });

  it("never falls with the water, whatever noise says", () => {
    const state = learned(new Array<number>(20).fill(2));
    learnSlope(state, 0.1, -0.05);
    expect(capabilityAt(state, 0.6)?.flow_m3s).toBe(2);
  });

  it("does without levels", () => {
    const state = learned(new Array<number>(20).fill(2), 0.1, () => Number.NaN);
    expect(capabilityAt(state, 0.6)?.flow_m3s).toBe(2);
  });
});
