// The `design` group of the site file: what the installation must hold beyond what was measured.

import * as z from "zod";
import type { Site } from "../../../analysis/site.ts";
import { rainDistributions } from "../../../analysis/storms/design-storm-site.ts";
import { bothLengths, evenIfIncomplete, lengthAt, numberAt, report } from "../cross-check.ts";
import { quantity } from "../quantity.ts";

const rain = () => quantity("length", { above: "0 mm", max: "2 m" });
const lasting = () => quantity("duration", { min: "5 min", max: "10 d" });

const storm = z
  .strictObject({
    depth: rain().describe("rain in the whole storm, from the public rainfall table of the place"),
    duration: lasting().prefault("24 h").describe("how long it rains; the column of that table"),
    distribution: z
      .enum(rainDistributions)
      .describe("how the rain is spread over that time: the published 24-hour type of the region, evenly, or balanced"),
    depths: z
      .array(z.tuple([lasting(), rain()]))
      .optional()
      .describe("further rows of the same table and return period, duration and depth; only `balanced` uses them"),
  })
  .superRefine(checkDepths, evenIfIncomplete);

export const designSchema = z.strictObject({
  inflow_factor: z
    .number()
    .min(1)
    .default(1.5)
    .describe("allowance over the measured peak; common practice, no source"),
  storm: storm.optional().describe("the storm that the pump must hold; beside the allowance, the greater governs"),
});

export function toDesign(design: z.output<typeof designSchema>): Site["design"] {
  const { inflow_factor: inflowFactor, storm: given } = design;
  if (given === undefined) return { inflowFactor };
  return {
    inflowFactor,
    storm: {
      depth_m: given.depth,
      duration_s: given.duration,
      distribution: given.distribution,
      ...(given.depths !== undefined && {
        depths: given.depths.map(([duration_s, depth_m]) => ({ duration_s, depth_m })),
      }),
    },
  };
}

/** The longer it rains, the more falls. */
function checkDepths(given: unknown, context: z.core.$RefinementCtx): void {
  for (let row = 1; row < lengthAt(given, "depths"); row++) {
    const [longerBefore, deeperBefore] = [0, 1].map((column) => numberAt(given, "depths", row - 1, column));
    const [longer, deeper] = [0, 1].map((column) => numberAt(given, "depths", row, column));
    if (longer != null && longerBefore != null && longer <= longerBefore) {
      report(context, ["depths", row, 0], `expected a duration above that of the row before, found ${longer} s`);
    }
    if (deeper != null && deeperBefore != null && deeper < deeperBefore) {
      const expected = `expected a depth not below that of the row before, ${bothLengths(deeperBefore)}`;
      report(context, ["depths", row, 1], `${expected}, found ${bothLengths(deeper)}`);
    }
  }
}
