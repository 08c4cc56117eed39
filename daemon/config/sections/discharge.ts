// The `discharge` group of the site file: where the water goes, through which pipe and past which fittings.

import * as z from "zod";
import { pipeBore, pipeSizes } from "../../../analysis/hydraulics/pipe-table.ts";
import type { DischargeSite, FittingKind, PipeMaterial } from "../../../analysis/site.ts";
import { at, bothLengths, evenIfIncomplete, has, numberAt, report } from "../cross-check.ts";
import { quantity } from "../quantity.ts";

const materials = [
  "pvc-40",
  "pvc-80",
  "abs-40",
  "copper-l",
  "galvanised-steel",
  "pe-sdr11",
  "pe-sdr17",
  "corrugated-hose",
] as const satisfies readonly PipeMaterial[];

const fittingKinds = [
  "entrance",
  "exit",
  "elbow-90",
  "elbow-90-long-radius",
  "elbow-45",
  "tee-run",
  "tee-branch",
  "union",
  "gate-valve",
  "ball-valve",
  "check-valve-swing",
  "check-valve-spring",
] as const satisfies readonly FittingKind[];

const pipe = z
  .strictObject({
    material: z.enum(materials).describe("material and schedule of the pipe"),
    nominal: quantity("length", { above: "0 mm" }).optional().describe("nominal size, as the trade names it"),
    inside_diameter: quantity("length", { above: "0 mm" }).optional().describe("measured, in place of `nominal`"),
    length: quantity("length", { above: "0 mm" }).describe("from the pump to where the water leaves"),
  })
  .superRefine(checkSize, evenIfIncomplete);

const fitting = z.strictObject({
  kind: z.enum(fittingKinds).describe("what it is"),
  count: z.int().min(1).default(1).describe("how many of them"),
});

export const dischargeSchema = z.strictObject({
  high_point: quantity("length", { above: "0 mm" }).describe(
    "highest point of the discharge above the inside bottom of the basin",
  ),
  pipe,
  fittings: z.array(fitting).default([]),
});

export function toDischargeSite(discharge: z.output<typeof dischargeSchema>): DischargeSite {
  return {
    highPoint_m: discharge.high_point,
    pipe: {
      material: discharge.pipe.material,
      nominal_m: discharge.pipe.nominal ?? null,
      insideDiameter_m: discharge.pipe.inside_diameter ?? null,
      length_m: discharge.pipe.length,
    },
    fittings: discharge.fittings,
  };
}

function checkSize(pipe: unknown, context: z.core.$RefinementCtx): void {
  const given = ["nominal", "inside_diameter"].filter((key) => has(pipe, key));
  if (given.length !== 1) {
    const found = given.length === 0 ? "neither" : "both";
    report(context, [], `expected either nominal, such as 1-1/2 in, or inside_diameter, found ${found}`);
  }
  const nominal_m = numberAt(pipe, "nominal");
  const material = materials.find((name) => name === at(pipe, "material"));
  if (nominal_m === null || material === undefined) return;
  if (isKnownSize(material, nominal_m)) return;
  const known = pipeSizes(material)
    .map(({ label }) => label)
    .join(", ");
  report(context, ["nominal"], `expected a size of ${material} (${known}), found ${bothLengths(nominal_m)}`);
}

function isKnownSize(material: PipeMaterial, nominal_m: number): boolean {
  try {
    pipeBore({ material, nominal_m, insideDiameter_m: null, length_m: 1 });
    return true;
  } catch {
    return false;
  }
}
