import { describe, expect, it } from "vitest";
import { dutyPoint } from "../../../analysis/hydraulics/duty-point.ts";
import { headWorksheet } from "../../../analysis/hydraulics/head-worksheet.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import { twoPumpsTogether, withoutCheckValve } from "../../../analysis/hydraulics/two-pumps.ts";
import type { DischargeSite, PipeSection } from "../../../analysis/site.ts";

const riser: PipeSection = {
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 2 },
  fittings: [
    { kind: "check-valve-swing", count: 1 },
    { kind: "tee-branch", count: 1 },
  ],
};
const discharge: DischargeSite = {
  highPoint_m: 3,
  pipe: { material: "pvc-40", nominal_m: 0.0508, insideDiameter_m: null, length_m: 12 },
  fittings: [{ kind: "elbow-90", count: 3 }],
  risers: [riser, riser],
};
const points = [
  { flow_m3s: 0, head_m: 7.6 },
  { flow_m3s: 0.0013, head_m: 6.1 },
  { flow_m3s: 0.0025, head_m: 3.4 },
  { flow_m3s: 0.0033, head_m: 0 },
];
const strong = pumpCurve(points);
const weak = pumpCurve(points.map(({ flow_m3s, head_m }) => ({ flow_m3s, head_m: 0.7 * head_m })));

describe("twoPumpsTogether", () => {
  it("shares evenly between two that are alike, and moves less than twice one", () => {
    const { duty } = twoPumpsTogether([strong, strong], discharge, 0.2);
    const alone = dutyPoint(strong, discharge, 0.2)?.flow_m3s ?? Number.NaN;
    expect(duty?.pumps.map(({ share }) => share)).toEqual([0.5, 0.5]);
    expect(duty?.flow_m3s).toBeGreaterThan(alone);
    expect(duty?.flow_m3s).toBeLessThan(2 * alone);
  });

  it("finds, of two unlike, what each one's own worksheet adds up to", () => {
    const { duty } = twoPumpsTogether([strong, weak], discharge, 0.2);
    if (duty === null) throw new Error("they meet");
    for (const [i, curve] of [strong, weak].entries()) {
      const flow = duty.pumps[i]?.flow_m3s ?? Number.NaN;
      const sheet = headWorksheet(discharge, duty.flow_m3s, 0.2, { riserFlow_m3s: flow });
      expect(sheet.totalDynamicHead_m).toBeCloseTo(curve.head_m(flow) ?? Number.NaN, 9);
      expect(duty.pumps[i]?.head_m).toBeCloseTo(sheet.totalDynamicHead_m, 9);
      expect(duty.joinHead_m).toBeCloseTo(sheet.totalDynamicHead_m - (sheet.lengths[0]?.loss_m ?? 0), 9);
    }
    expect((duty.pumps[0].share ?? 0) + (duty.pumps[1].share ?? 0)).toBeCloseTo(1, 12);
  });

  it("adds the flows at the same head where neither has a riser worth counting", () => {
    const { risers: _, ...common } = discharge;
    const { duty } = twoPumpsTogether([strong, weak], common, 0.2);
    expect(duty?.pumps[0].head_m).toBeCloseTo(duty?.joinHead_m ?? Number.NaN, 9);
    expect(duty?.pumps[1].head_m).toBeCloseTo(duty?.joinHead_m ?? Number.NaN, 9);
  });

  it("lets nothing through a pump backwards: one that is too weak is held shut", () => {
    const feeble = pumpCurve(points.map(({ flow_m3s, head_m }) => ({ flow_m3s, head_m: 0.4 * head_m })));
    const { duty } = twoPumpsTogether([strong, feeble], discharge, 0.2);
    expect(duty?.pumps[1]).toMatchObject({ flow_m3s: 0, share: 0, heldShut: true });
    expect(duty?.flow_m3s).toBeCloseTo(dutyPoint(strong, discharge, 0.2)?.flow_m3s ?? Number.NaN, 12);
  });

  it("says which curve ends too soon, and that neither lifts so high", () => {
    const short = pumpCurve(points.slice(0, 2));
    expect(twoPumpsTogether([strong, short], discharge, 0.2)).toEqual({
      duty: null,
      reason: "beyond-the-curve",
      pump: 1,
    });
    const tower = { ...discharge, highPoint_m: 8 };
    expect(twoPumpsTogether([strong, weak], tower, 0.2)).toEqual({ duty: null, reason: "head-too-low", pump: null });
  });

  it("knows which riser lists no check valve", () => {
    expect(withoutCheckValve(discharge)).toEqual([]);
    expect(withoutCheckValve({ ...discharge, risers: [riser, { ...riser, fittings: [] }] })).toEqual([1]);
    expect(withoutCheckValve({ ...discharge, risers: [null, riser] })).toEqual([0]);
  });
});
