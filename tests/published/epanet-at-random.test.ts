// Networks drawn at random against the EPANET engine: one to three sizes, one pump or two with or without risers, both
// friction formulas, cold to warm water, smooth to rough walls. What the two differ in stands in epanet.test.ts.

import { describe, expect, it } from "vitest";
import { dutyPoint } from "../../analysis/hydraulics/duty-point.ts";
import type { FrictionFormula } from "../../analysis/hydraulics/path-loss.ts";
import { pumpCurve } from "../../analysis/hydraulics/pump-curve.ts";
import { twoPumpsTogether } from "../../analysis/hydraulics/two-pumps.ts";
import { waterKinematicViscosity_m2s } from "../../analysis/hydraulics/water.ts";
import type { DischargeSite, PipeSection } from "../../analysis/site.ts";
import * as fc from "../at-random.ts";
import { engineViscosity_m2s, type Net, type NetPipe, type NetPump, solve } from "./network-engine.ts";

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const anyPipe = fc.record({ length_m: number(1, 40), bore_mm: number(32, 80), k: number(1, 12) });
/** Shut-off head, exponent and place of the point between of a pump that moves up to `most_ls`. */
const anyPump = fc
  .record({ most_ls: number(1.5, 5), shutOff_m: number(5, 15), part: number(0.35, 0.7), exponent: number(1.1, 3) })
  .map(({ most_ls, shutOff_m, part, exponent }): NetPump["points"] => [
    [0, shutOff_m],
    [most_ls * part, shutOff_m * (1 - part ** exponent)],
    [most_ls, 0],
  ]);
const anyNet = fc.record({
  formula: fc.constantFrom<Net["formula"]>("D-W", "H-W"),
  wall: fc.record({ roughness_mm: fc.constantFrom(0.0015, 0.01, 0.15), c: number(100, 150) }),
  temperature_c: number(2, 30),
  lift: number(0.1, 0.8),
  pipes: fc.array(anyPipe, { minLength: 1, maxLength: 3 }),
  pumps: fc.array(fc.record({ points: anyPump, riser: fc.option(anyPipe) }), { minLength: 1, maxLength: 2 }),
});

describe("a hundred networks at random", () => {
  it("have flow and head within 0.3 % of the engine's, with rough walls within 0.6 %", async () => {
    let met = 0;
    await fc.assert(
      fc.asyncProperty(anyNet, async ({ formula, wall, temperature_c, lift, pipes, pumps }) => {
        const lift_m = lift * Math.min(...pumps.map(({ points }) => points[0]?.[1] ?? 0));
        const named: FrictionFormula = formula === "D-W" ? "darcy-weisbach" : "hazen-williams";
        const built = (pipe: Omit<NetPipe, "wall">): NetPipe => ({
          ...pipe,
          wall: formula === "D-W" ? wall.roughness_mm : wall.c,
        });
        const section = (pipe: Omit<NetPipe, "wall">): PipeSection => asSection(pipe, wall);
        const alone = pumps.length === 1;
        const found = await solve({
          formula,
          lift_m,
          pumps: pumps.map(({ points, riser }) => ({ points, riser: alone || riser === null ? null : built(riser) })),
          pipes: pipes.map(built),
          viscosity: waterKinematicViscosity_m2s(temperature_c) / engineViscosity_m2s,
        });
        const [first, ...further] = pipes.map(section);
        const [one, other] = pumps.map(({ points }) =>
          pumpCurve(points.map(([flow_ls, head_m]) => ({ flow_m3s: flow_ls / 1000, head_m }))),
        );
        if (first === undefined || one === undefined) throw new Error("there is one of each");
        const [left, right] = pumps.map(({ riser }) => riser && section(riser));
        const site: DischargeSite = {
          highPoint_m: lift_m,
          ...withExit(first, further),
          ...(other && { risers: [left ?? null, right ?? null] }),
        };
        const duty = other === undefined ? dutyPoint(one, site, 0, temperature_c, named) : null;
        const both = other === undefined ? null : twoPumpsTogether([one, other], site, 0, temperature_c, named).duty;
        expect(duty ?? both).not.toBeNull();
        const apart = Math.max(
          off(duty?.flow_m3s ?? both?.flow_m3s, found.flow_ls / 1000, found.flow_ls / 1000),
          off(duty?.head_m ?? both?.joinHead_m, found.joinHead_m, found.joinHead_m),
          ...(both?.pumps ?? []).map(({ flow_m3s }, i) =>
            off(flow_m3s, (found.pumpFlow_ls[i] ?? Number.NaN) / 1000, found.flow_ls / 1000),
          ),
        );
        // Swamee–Jain is furthest off Colebrook–White, 1.5 %, with rough walls in cold water.
        const rough = formula === "D-W" && wall.roughness_mm > 0.1;
        expect(apart).toBeLessThan(rough ? 0.006 : 0.003);
        met += 1;
      }),
      { seed: 20, numRuns: 100, endOnFailure: true },
    );
    expect(met).toBe(100);
  });
});

/** The bore's changes cost nothing here: the engine's pipes have their K written out. */
function asSection(
  { length_m, bore_mm, k }: Omit<NetPipe, "wall">,
  wall: { roughness_mm: number; c: number },
): PipeSection {
  return {
    pipe: {
      material: "pvc-40",
      nominal_m: null,
      insideDiameter_m: bore_mm / 1000,
      length_m,
      roughness_m: wall.roughness_mm / 1000,
      hazenWilliamsC: wall.c,
    },
    fittings: [
      { kind: "other", count: 1, lossCoefficient: k },
      { kind: "enlargement", count: 1, lossCoefficient: 0 },
    ],
  };
}

/** The exit is in the last pipe's K. */
function withExit(
  first: PipeSection,
  further: readonly PipeSection[],
): PipeSection & { further: readonly PipeSection[] } {
  return { ...first, fittings: [...first.fittings, { kind: "exit", count: 1, lossCoefficient: 0 }], further };
}

function off(value: number | undefined, expected: number, of: number): number {
  return Math.abs((value ?? Number.NaN) - expected) / of;
}
