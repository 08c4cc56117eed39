import { describe, expect, it } from "vitest";
import { dischargeHead } from "../../../analysis/hydraulics/discharge-head.ts";
import type { DischargeSite, FittingKind } from "../../../analysis/site.ts";
import * as fc from "../../at-random.ts";

const discharge: DischargeSite = {
  highPoint_m: 3,
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6 },
  fittings: [],
};
const fitted = (kind: FittingKind, count: number): DischargeSite => ({ ...discharge, fittings: [{ kind, count }] });

describe("dischargeHead", () => {
  it("asks for the lift alone at no flow", () => {
    expect(dischargeHead(discharge, 0, 0.15)).toEqual({
      staticHead_m: 2.85,
      frictionHead_m: 0,
      totalDynamicHead_m: 2.85,
      velocity_ms: 0,
    });
  });

  it("counts the velocity that leaves once, whether the site lists an exit or not", () => {
    // 2 L/s in 40.894 mm: 1.522723 m/s, velocity head 0.1182201 m
    const bare = dischargeHead(discharge, 0.002, 0.15);
    expect(bare.velocity_ms).toBeCloseTo(1.522723, 6);
    expect(dischargeHead(fitted("exit", 1), 0.002, 0.15)).toEqual(bare);
    expect(dischargeHead(fitted("exit", 2), 0.002, 0.15).frictionHead_m - bare.frictionHead_m).toBeCloseTo(
      0.1182201,
      6,
    );
    expect(dischargeHead(fitted("elbow-90", 3), 0.002, 0.15).frictionHead_m - bare.frictionHead_m).toBeCloseTo(
      3 * 0.9 * 0.1182201,
      6,
    );
  });

  it("takes no help from water above the high point", () => {
    expect(dischargeHead(discharge, 0.001, 3.4).staticHead_m).toBe(0);
  });

  it("costs more in cold water", () => {
    expect(dischargeHead(discharge, 0.002, 0, 2).frictionHead_m).toBeGreaterThan(
      dischargeHead(discharge, 0.002, 0).frictionHead_m,
    );
  });

  it("rises with the flow and never is NaN, whatever the pipe", () => {
    const anyDischarge = fc.record({
      highPoint_m: fc.double({ min: 0.01, max: 20, noNaN: true }),
      pipe: fc.record({
        material: fc.constantFrom("pvc-40", "copper-l", "galvanised-steel", "corrugated-hose"),
        nominal_m: fc.constantFrom(0.0254, 0.0381, 0.0508),
        insideDiameter_m: fc.constant(null),
        length_m: fc.double({ min: 0.1, max: 200, noNaN: true }),
      }),
      fittings: fc.array(
        fc.record({
          kind: fc.constantFrom<FittingKind>("entrance", "exit", "elbow-90", "check-valve-swing", "union"),
          count: fc.integer({ min: 1, max: 9 }),
        }),
      ),
    });
    const flow = fc.double({ min: 0, max: 0.02, noNaN: true });
    fc.assert(
      fc.property(anyDischarge, flow, fc.double({ min: -1, max: 5, noNaN: true }), (site, flow_m3s, level_m) => {
        const head_m = dischargeHead(site, flow_m3s, level_m).totalDynamicHead_m;
        expect(dischargeHead(site, flow_m3s + 1e-5, level_m).totalDynamicHead_m).toBeGreaterThan(head_m);
      }),
    );
  });

  it("names what it cannot take", () => {
    expect(() => dischargeHead(discharge, -1, 0)).toThrow("-1 m³/s");
    expect(() => dischargeHead(discharge, 0.001, 0, 60)).toThrow("60 °C");
  });
});
