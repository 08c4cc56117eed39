import { describe, expect, it } from "vitest";
import { dischargeHead } from "../../../analysis/hydraulics/discharge-head.ts";
import { headWorksheet } from "../../../analysis/hydraulics/head-worksheet.ts";
import { pipeMaterials, pipeSizes } from "../../../analysis/hydraulics/pipe-table.ts";
import type { DischargeSite, FittingSite, PipeSection } from "../../../analysis/site.ts";
import { toSi } from "../../../analysis/units/unit.ts";
import * as fc from "../../at-random.ts";

const elbows: FittingSite = { kind: "elbow-90", count: 3 };
const discharge: DischargeSite = {
  highPoint_m: toSi(10, "ft"),
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: toSi(22, "ft") },
  fittings: [elbows, { kind: "check-valve-swing", count: 1 }],
};
const wider: PipeSection = {
  pipe: { material: "pvc-40", nominal_m: 0.0508, insideDiameter_m: null, length_m: 6 },
  fittings: [{ kind: "elbow-45", count: 2 }],
};

const anySection: fc.Arbitrary<PipeSection> = fc
  .constantFrom(...pipeMaterials)
  .chain((material) => fc.tuple(fc.constant(material), fc.constantFrom(...pipeSizes(material).map((s) => s.nominal_m))))
  .chain(([material, nominal_m]) =>
    fc.record({
      pipe: fc.record({
        material: fc.constant(material),
        nominal_m: fc.constant(nominal_m),
        insideDiameter_m: fc.constantFrom(null, 0.033),
        length_m: fc.double({ min: 0.1, max: 100, noNaN: true }),
      }),
      fittings: fc.array(
        fc.record({
          kind: fc.constantFrom("entrance", "elbow-90", "elbow-45-street", "check-valve-spring", "exit"),
          count: fc.integer({ min: 1, max: 4 }),
          lossCoefficient: fc.constantFrom(null, 2.3, 0),
        }),
      ),
    }),
  );

describe("headWorksheet", () => {
  it("adds up to the head of the discharge, to the last digits, whatever the pipes, the flow and the level", () => {
    const flow = fc.double({ min: 0, max: 0.01, noNaN: true });
    const level = fc.double({ min: 0, max: 1.5, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(anySection, { minLength: 1, maxLength: 3 }),
        flow,
        level,
        ([first, ...further], flow_m3s, z) => {
          const site = { highPoint_m: 2, ...(first ?? wider), further };
          const sheet = headWorksheet(site, flow_m3s, z);
          const head = dischargeHead(site, flow_m3s, z);
          expect(sheet.staticHead_m).toBe(head.staticHead_m);
          expect(Math.abs(sheet.frictionHead_m - head.frictionHead_m)).toBeLessThanOrEqual(1e-13 * head.frictionHead_m);
          const lines = sheet.lengths.flatMap(({ pipeLoss_m, fittings }) => [
            pipeLoss_m,
            ...fittings.map((f) => f.loss_m),
          ]);
          const byHand = sheet.staticHead_m + lines.reduce((sum, line) => sum + line, 0);
          expect(Math.abs(byHand / head.totalDynamicHead_m - 1)).toBeLessThan(1e-13);
        },
      ),
    );
  });

  it("says of each fitting how many, which K, whose K, and what it costs", () => {
    // 2 L/s in 40.894 mm: velocity head 0.1182201 m
    const [pipe] = headWorksheet(discharge, 0.002, 0.15).lengths;
    expect(pipe?.fittings.map(({ label, count, k, listed }) => [label, count, k, listed])).toEqual([
      ["elbow 90°", 3, 0.9, true],
      ["swing check valve", 1, 2.5, true],
      ["exit", 1, 1, false],
    ]);
    expect(pipe?.fittings[0]?.loss_m).toBeCloseTo(3 * 0.9 * 0.1182201, 6);
    expect(pipe?.fittings[0]?.source).toContain("EPANET 2.2 User Manual");
    const own = headWorksheet({ ...discharge, fittings: [{ ...elbows, lossCoefficient: 2.3 }] }, 0.002, 0.15);
    expect(own.lengths[0]?.fittings[0]).toMatchObject({ k: 2.3, source: "as the site gives it" });
  });

  it("gives the lift at both ends of the drawdown", () => {
    const sheet = headWorksheet(discharge, 0.002, 0.15, { startLevel_m: 0.35, stopLevel_m: 0.15 });
    expect(sheet.drawdown?.worstStaticHead_m).toBeCloseTo(3.048 - 0.15, 12);
    expect(sheet.drawdown?.bestStaticHead_m).toBeCloseTo(3.048 - 0.35, 12);
    expect(headWorksheet(discharge, 0.002, 0.15).drawdown).toBeNull();
  });

  it("counts the widening into a larger size once, in the narrower bore's velocity head", () => {
    const [first, second] = headWorksheet({ ...discharge, further: [wider] }, 0.002, 0).lengths;
    const widening = first?.fittings.at(-1);
    // (1 − (40.8940/52.5018)²)², Borda–Carnot
    expect(widening).toMatchObject({ kind: "enlargement", listed: false, insideDiameter_m: first?.insideDiameter_m });
    expect(widening?.k).toBeCloseTo(0.154688, 5);
    expect(second?.fittings.map(({ kind }) => kind)).toEqual(["elbow-45", "exit"]);
    const told: FittingSite = { kind: "enlargement", count: 1, lossCoefficient: 0.05 };
    const listed = headWorksheet({ ...discharge, fittings: [told], further: [wider] }, 0.002, 0);
    expect(listed.lengths[0]?.fittings).toHaveLength(1);
    expect(listed.lengths[0]?.fittings[0]?.loss_m).toBeCloseTo(0.05 * 0.1182201, 6);
  });

  it("sends through a riser only what its own pump moves", () => {
    const shared: DischargeSite = { ...discharge, risers: [wider, null] };
    const sheet = headWorksheet(shared, 0.003, 0, { riserFlow_m3s: 0.001 });
    expect(sheet.lengths.map(({ role, flow_m3s }) => [role, flow_m3s])).toEqual([
      ["riser", 0.001],
      ["pipe", 0.003],
    ]);
  });

  it("has Hazen and Williams beside it, but not for a hose that no C is published for", () => {
    const sheet = headWorksheet(discharge, 0.002, 0.15);
    expect(sheet.hazenWilliams?.frictionHead_m).toBeGreaterThan(0.9 * sheet.frictionHead_m);
    expect(sheet.hazenWilliams?.frictionHead_m).toBeLessThan(1.1 * sheet.frictionHead_m);
    const hose: DischargeSite = { ...discharge, pipe: { ...discharge.pipe, material: "corrugated-hose" } };
    expect(headWorksheet(hose, 0.002, 0.15).hazenWilliams).toBeNull();
  });

  it("knows its friction as well as published coefficients and the pipe's tolerance let it", () => {
    // Swing check valve: published from 0.29 to 2.5, taken 2.5: u(K) = 2.21/√3. Elbows: from 0.57 to 1.5, taken 0.9.
    const sheet = headWorksheet(discharge, 0.002, 0.15);
    const [pipe] = sheet.lengths;
    const uElbow = Math.sqrt((0.6 ** 3 + 0.33 ** 3) / (3 * 0.93));
    const parts = [
      3 * uElbow * 0.1182201,
      (2.21 / Math.sqrt(3)) * 0.1182201,
      (0.063 / Math.sqrt(3)) * (pipe?.pipeLoss_m ?? 0),
    ];
    expect(sheet.uFrictionHead_m).toBeCloseTo(Math.hypot(...parts), 6);
    const own = headWorksheet({ ...discharge, fittings: [{ ...elbows, lossCoefficient: 0.9 }] }, 0.002, 0.15);
    expect(own.lengths[0]?.fittings[0]?.uLoss_m).toBeNull();
    expect(own.uFrictionHead_m).toBeCloseTo(parts[2] ?? Number.NaN, 9);
  });

  it("is the lift alone at no flow, without a friction factor", () => {
    const sheet = headWorksheet(discharge, 0, 0.15);
    expect(sheet.totalDynamicHead_m).toBe(sheet.staticHead_m);
    expect(sheet.lengths[0]).toMatchObject({ regime: "at-rest", frictionFactor: null, loss_m: 0 });
    expect(() => headWorksheet(discharge, -1, 0)).toThrow("-1 m³/s");
  });
});
