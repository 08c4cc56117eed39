// The `discharge` group of the site file: where the water goes, through which pipe and past which fittings.

import * as z from "zod";
import { pipeBore, pipeMaterials, pipeSizes } from "../../../analysis/hydraulics/pipe-table.ts";
import type {
  DischargeSite,
  FittingKind,
  FittingSite,
  PipeMaterial,
  PipeSection,
  PipeSite,
} from "../../../analysis/site.ts";
import { at, bothLengths, evenIfIncomplete, has, lengthAt, numberAt, report } from "../cross-check.ts";
import { quantity } from "../quantity.ts";

const fittingKinds = [
  "entrance",
  "exit",
  "elbow-90",
  "elbow-90-long-radius",
  "elbow-90-street",
  "elbow-45",
  "elbow-45-street",
  "tee-run",
  "tee-branch",
  "union",
  "gate-valve",
  "ball-valve",
  "check-valve-swing",
  "check-valve-spring",
  "reducer",
  "enlargement",
  "other",
] as const satisfies readonly FittingKind[];

const pipe = z
  .strictObject({
    material: z.enum(pipeMaterials).describe("material and schedule of the pipe"),
    nominal: quantity("length", { above: "0 mm" }).optional().describe("nominal size, as the trade names it"),
    inside_diameter: quantity("length", { above: "0 mm" }).optional().describe("measured, in place of `nominal`"),
    length: quantity("length", { above: "0 mm" }).describe(
      "from the pump, or the length before, to where the water leaves, or the next length begins",
    ),
    roughness: quantity("length", { min: "0 mm" }).optional().describe("of its wall, if not that of the material"),
    hazen_williams_c: z
      .number()
      .positive()
      .optional()
      .describe("C for the comparison with Hazen and Williams, if not that of the material"),
  })
  .superRefine(checkSize, evenIfIncomplete);

const fitting = z
  .strictObject({
    kind: z.enum(fittingKinds).describe("what it is; `reducer` narrows, `enlargement` widens, `other` needs `k`"),
    count: z.int().min(1).default(1).describe("how many of them"),
    k: z
      .number()
      .min(0)
      .optional()
      .describe("own loss coefficient of one, on the velocity head of its pipe, in place of the table's"),
    other_bore: quantity("length", { above: "0 mm" })
      .optional()
      .describe("of a `reducer` or `enlargement`: the bore on its other side, if not that of the next length of pipe"),
  })
  .superRefine(checkFitting, evenIfIncomplete);

/** A length of one size with its own fittings. */
const sectionSchema = z.strictObject({ pipe, fittings: z.array(fitting).default([]) });

/** One pump's own pipe. */
export const riserSchema = sectionSchema.superRefine(checkBoreChanges, evenIfIncomplete);

export const dischargeSchema = z
  .strictObject({
    high_point: quantity("length", { above: "0 mm" }).describe(
      "highest point of the discharge above the inside bottom of the basin",
    ),
    water_temperature: quantity("temperature", { min: "0 °C", max: "40 °C" })
      .optional()
      .describe("of the water, for its viscosity; without it 10 °C"),
    ...sectionSchema.shape,
    further: z
      .array(sectionSchema)
      .min(1)
      .optional()
      .describe("lengths of another size after `pipe`, in the order in which the water goes through them"),
  })
  .superRefine(checkBoreChanges, evenIfIncomplete);

/** @param risers of two pumps, each one's own pipe; undefined where it has none */
export function toDischargeSite(
  discharge: z.output<typeof dischargeSchema>,
  risers: readonly (z.output<typeof riserSchema> | undefined)[] = [],
): DischargeSite {
  const [first, second] = risers.map((riser) => (riser === undefined ? null : toSection(riser)));
  return {
    highPoint_m: discharge.high_point,
    ...toSection(discharge),
    ...(discharge.further !== undefined && { further: discharge.further.map(toSection) }),
    ...((first || second) && { risers: [first ?? null, second ?? null] as const }),
    ...(discharge.water_temperature !== undefined && { waterTemperature_c: discharge.water_temperature }),
  };
}

function toSection(section: z.output<typeof sectionSchema>): PipeSection {
  return { pipe: toPipe(section.pipe), fittings: section.fittings.map(toFitting) };
}

function toPipe(given: z.output<typeof pipe>): PipeSite {
  return {
    material: given.material,
    nominal_m: given.nominal ?? null,
    insideDiameter_m: given.inside_diameter ?? null,
    length_m: given.length,
    ...(given.roughness !== undefined && { roughness_m: given.roughness }),
    ...(given.hazen_williams_c !== undefined && { hazenWilliamsC: given.hazen_williams_c }),
  };
}

function toFitting({ kind, count, k, other_bore }: z.output<typeof fitting>): FittingSite {
  return {
    kind,
    count,
    ...(k !== undefined && { lossCoefficient: k }),
    ...(other_bore !== undefined && { otherBore_m: other_bore }),
  };
}

function checkFitting(given: unknown, context: z.core.$RefinementCtx): void {
  const kind = at(given, "kind");
  if (kind === "other" && !has(given, "k")) {
    report(context, ["k"], "expected the loss coefficient of a fitting that no table knows, such as 2.3, found none");
  }
  if (has(given, "other_bore") && kind !== "reducer" && kind !== "enlargement") {
    report(context, ["other_bore"], `expected it of a reducer or an enlargement alone, found it of ${String(kind)}`);
  }
}

/** A reducer or an enlargement that says neither k nor bore leads into the next length, which must be as it says. */
function checkBoreChanges(discharge: unknown, context: z.core.$RefinementCtx): void {
  const further = Array.from({ length: lengthAt(discharge, "further") }, (_, i) => ["further", i] as const);
  const paths: readonly (readonly (string | number)[])[] = [[], ...further];
  for (const [i, path] of paths.entries()) {
    const own_m = boreAt(discharge, path);
    const next = paths[i + 1];
    const next_m = next === undefined ? null : boreAt(discharge, next);
    for (let index = 0; index < lengthAt(discharge, ...path, "fittings"); index++) {
      const given = at(discharge, ...path, "fittings", index);
      const kind = at(given, "kind");
      if ((kind !== "reducer" && kind !== "enlargement") || has(given, "k") || has(given, "other_bore")) continue;
      const where = [...path, "fittings", index];
      if (next === undefined) {
        report(
          context,
          where,
          "expected k, other_bore, or a further length of pipe that it leads into, found none of them",
        );
      } else if (own_m !== null && next_m !== null && (kind === "reducer" ? next_m >= own_m : next_m <= own_m)) {
        const narrower = kind === "reducer" ? "narrower" : "wider";
        report(
          context,
          where,
          `expected a ${narrower} length after it than ${bothLengths(own_m)}, found ${bothLengths(next_m)}`,
        );
      }
    }
  }
}

function boreAt(discharge: unknown, path: readonly (string | number)[]): number | null {
  const own_m = numberAt(discharge, ...path, "pipe", "inside_diameter");
  const nominal_m = numberAt(discharge, ...path, "pipe", "nominal");
  const name = at(discharge, ...path, "pipe", "material");
  const material = pipeMaterials.find((each) => each === name);
  if (own_m !== null || nominal_m === null || material === undefined || !isKnownSize(material, nominal_m)) return own_m;
  return pipeBore({ material, nominal_m, insideDiameter_m: null, length_m: 1 }).insideDiameter_m;
}

function checkSize(pipe: unknown, context: z.core.$RefinementCtx): void {
  checkRoughness(pipe, context);
  const given = ["nominal", "inside_diameter"].filter((key) => has(pipe, key));
  if (given.length !== 1) {
    const found = given.length === 0 ? "neither" : "both";
    report(context, [], `expected either nominal, such as 1-1/2 in, or inside_diameter, found ${found}`);
  }
  const nominal_m = numberAt(pipe, "nominal");
  const material = pipeMaterials.find((name) => name === at(pipe, "material"));
  if (nominal_m === null || material === undefined) return;
  if (isKnownSize(material, nominal_m)) return;
  const known = pipeSizes(material)
    .map(({ label }) => label)
    .join(", ");
  report(context, ["nominal"], `expected a size of ${material} (${known}), found ${bothLengths(nominal_m)}`);
}

/** A wall rougher than a fifth of its bore is a slip of the pen: published charts end at a twentieth. */
const roughest = 0.2;

function checkRoughness(pipe: unknown, context: z.core.$RefinementCtx): void {
  const name = at(pipe, "material");
  const material = pipeMaterials.find((each) => each === name);
  const [own_m, nominal_m] = [numberAt(pipe, "inside_diameter"), numberAt(pipe, "nominal")];
  if (material === undefined || (own_m === null && (nominal_m === null || !isKnownSize(material, nominal_m)))) return;
  const bore = pipeBore({
    material,
    nominal_m,
    insideDiameter_m: own_m,
    length_m: 1,
    roughness_m: numberAt(pipe, "roughness"),
  });
  const most_m = roughest * bore.insideDiameter_m;
  if (bore.roughness_m <= most_m) return;
  const [key, expected, found_m] = has(pipe, "roughness")
    ? ["roughness", `at most a fifth of the bore, ${bothLengths(most_m)}`, bore.roughness_m]
    : [
        "inside_diameter",
        `at least five times the wall's roughness, ${bothLengths(bore.roughness_m)}`,
        bore.insideDiameter_m,
      ];
  report(context, [key], `expected ${expected}, found ${bothLengths(found_m)}`);
}

function isKnownSize(material: PipeMaterial, nominal_m: number): boolean {
  try {
    pipeBore({ material, nominal_m, insideDiameter_m: null, length_m: 1 });
    return true;
  } catch {
    return false;
  }
}
