import { describe, expect, it } from "vitest";
import { between, meanOf, minus, plus } from "../../../analysis/cycles/flow-arithmetic.ts";

const a = { flow_m3s: 5, uFlow_m3s: 3, degreesOfFreedom: 10 };
const b = { flow_m3s: 2, uFlow_m3s: 4, degreesOfFreedom: 7 };
/** Welch and Satterthwaite's formula (JCGM 100:2008, G.2b). */
const ofBoth = 5 ** 4 / (3 ** 4 / 10 + 4 ** 4 / 7);

describe("sums of flows", () => {
  it("add the squares of independent uncertainties (JCGM 100:2008, 5.1.2): 3 and 4 are 5", () => {
    expect(plus(a, b)).toEqual({ flow_m3s: 7, uFlow_m3s: 5, degreesOfFreedom: expect.closeTo(ofBoth, 9) });
    expect(minus(a, b)).toEqual({ flow_m3s: 3, uFlow_m3s: 5, degreesOfFreedom: expect.closeTo(ofBoth, 9) });
  });

  it("are as well known as their large part, however few degrees of freedom a small one has", () => {
    const sum = plus(
      { ...a, degreesOfFreedom: Number.POSITIVE_INFINITY },
      { ...b, uFlow_m3s: 0.01, degreesOfFreedom: 2 },
    );
    expect(sum?.degreesOfFreedom).toBeGreaterThan(1e6);
  });

  it("are unknown when a part is", () => {
    expect([plus(a, null), plus(null, b), minus(a, null), minus(null, b)]).toEqual([null, null, null, null]);
  });
});

describe("meanOf", () => {
  it("is half of each, or the one that is known", () => {
    expect(meanOf(a, b)).toEqual({ flow_m3s: 3.5, uFlow_m3s: 2.5, degreesOfFreedom: expect.closeTo(ofBoth, 9) });
    expect([meanOf(a, null), meanOf(null, b), meanOf(null, null)]).toEqual([a, b, null]);
  });
});

describe("between", () => {
  it("goes from the one to the other on a straight line, and on beyond it less surely", () => {
    expect(between(a, b, 0).flow_m3s).toBe(5);
    expect(between(a, b, 1)).toMatchObject({ flow_m3s: 2, uFlow_m3s: 4 });
    expect(between(a, b, 2)).toMatchObject({ flow_m3s: -1, uFlow_m3s: Math.hypot(3, 8) });
  });
});
