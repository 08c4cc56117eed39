import { describe, expect, it } from "vitest";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import type { CurvePoint } from "../../../analysis/site.ts";
import * as fc from "../../at-random.ts";

const points: readonly CurvePoint[] = [
  { flow_m3s: 0, head_m: 7.6 },
  { flow_m3s: 0.0013, head_m: 6.1 },
  { flow_m3s: 0.0025, head_m: 3.4 },
  { flow_m3s: 0.0033, head_m: 0 },
];

const fallingPoints = fc
  .array(fc.tuple(fc.double({ min: 1e-5, max: 2e-3, noNaN: true }), fc.double({ min: 0, max: 3, noNaN: true })), {
    minLength: 2,
    maxLength: 9,
  })
  .map((steps) => {
    let flow_m3s = 0;
    let head_m = 20;
    return steps.map(([flowStep, headStep], i) => {
      if (i > 0) {
        flow_m3s += flowStep;
        head_m -= headStep;
      }
      return { flow_m3s, head_m };
    });
  });

describe("pumpCurve", () => {
  it("passes through its points and says nothing beyond them", () => {
    const curve = pumpCurve(points);
    for (const { flow_m3s, head_m } of points) expect(curve.head_m(flow_m3s)).toBe(head_m);
    expect(curve.shutOffHead_m).toBe(7.6);
    expect(curve.maximumFlow_m3s).toBe(0.0033);
    for (const outside of [-1e-9, 0.0033 + 1e-9, Number.NaN]) expect(curve.head_m(outside)).toBeNull();
  });

  it("joins two points by a straight line", () => {
    const curve = pumpCurve([
      { flow_m3s: 0.001, head_m: 8 },
      { flow_m3s: 0.003, head_m: 4 },
    ]);
    expect(curve.head_m(0.0015)).toBeCloseTo(7, 12);
    expect(curve.shutOffHead_m).toBeNull();
  });

  it("stays level where its points do", () => {
    const flat = pumpCurve([
      { flow_m3s: 0, head_m: 5 },
      { flow_m3s: 0.001, head_m: 5 },
      { flow_m3s: 0.002, head_m: 1 },
    ]);
    expect(flat.head_m(0.0005)).toBe(5);
  });

  it("finds a parabola again from four of its points, where they lie on one", () => {
    // H = 9 − 300 Q − 4·10⁵ Q²
    const parabola = (flow: number) => 9 - 300 * flow - 4e5 * flow ** 2;
    const curve = pumpCurve([0, 0.0015, 0.0026, 0.004].map((q) => ({ flow_m3s: q, head_m: parabola(q) })));
    for (const q of [0.0004, 0.0009, 0.0021, 0.0037]) expect(curve.head_m(q)).toBeCloseTo(parabola(q), 12);
  });

  it("carries a power law through three points that begin at shut-off", () => {
    // H = 9 − 2·10⁵ Q^1.8
    const law = (flow: number) => 9 - 2e5 * flow ** 1.8;
    const curve = pumpCurve([0, 0.0018, 0.0035].map((q) => ({ flow_m3s: q, head_m: law(q) })));
    for (const q of [0, 0.0004, 0.0009, 0.0021, 0.0034]) expect(curve.head_m(q)).toBeCloseTo(law(q), 12);
    expect(curve.head_m(0.0035)).toBe(law(0.0035));
  });

  it("bends no further than the points do when the one between lies under the straight line", () => {
    const sagging = pumpCurve([
      { flow_m3s: 0, head_m: 8 },
      { flow_m3s: 0.002, head_m: 2 },
      { flow_m3s: 0.004, head_m: 0 },
    ]);
    expect(sagging.head_m(0.001)).toBeGreaterThan(2);
    expect(sagging.head_m(0.001)).toBeLessThanOrEqual(5);
  });

  it("never rises, never leaves the heads of the points it lies between, and never is NaN", () => {
    const fraction = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(fallingPoints, fraction, fraction, (falling, a, b) => {
        const curve = pumpCurve(falling);
        const flows = [Math.min(a, b), Math.max(a, b)].map((part) => part * curve.maximumFlow_m3s);
        const [left = Number.NaN, right = Number.NaN] = flows.map((flow) => curve.head_m(flow) ?? Number.NaN);
        expect(right).toBeLessThanOrEqual(left + 1e-12);
        for (const [i, flow] of flows.entries()) {
          const from = falling.findLast((point) => point.flow_m3s <= flow);
          const to = falling.find((point) => point.flow_m3s >= flow);
          expect(i === 0 ? left : right).toBeLessThanOrEqual(from?.head_m ?? Number.NaN);
          expect(i === 0 ? left : right).toBeGreaterThanOrEqual(to?.head_m ?? Number.NaN);
        }
      }),
    );
  });

  it("names the point that makes no curve", () => {
    const [first, second] = [points[0], points[1]];
    if (first === undefined || second === undefined) throw new Error("the curve above has four points");
    expect(() => pumpCurve([first])).toThrow("need 2 points or more, got 1");
    expect(() => pumpCurve([second, first])).toThrow("flow does not rise at point 1");
    expect(() => pumpCurve([first, { flow_m3s: 0.001, head_m: 8 }])).toThrow("head rises at point 1, from 7.6 to 8 m");
    expect(() => pumpCurve([first, { flow_m3s: Number.NaN, head_m: 8 }])).toThrow("point 1 is NaN m³/s");
  });
});
