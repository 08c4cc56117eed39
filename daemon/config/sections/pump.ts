// The `pump` group of the site file: the maker's curve and what the motor allows.

import * as z from "zod";
import type { PumpSite } from "../../../analysis/site.ts";
import { bothFlows, bothHeads, evenIfIncomplete, lengthAt, numberAt, report } from "../cross-check.ts";
import { quantity } from "../quantity.ts";

export const pumpSchema = z
  .strictObject({
    curve: z
      .array(z.tuple([quantity("flow"), quantity("length")]))
      .min(2)
      .optional()
      .describe("the pump's published curve: points of flow and head, flow rising and head falling"),
    max_starts_per_hour: z.number().positive().optional().describe("starts in an hour that the motor allows"),
    min_run: quantity("duration", { above: "0 s" }).optional().describe("shortest run that does the motor no harm"),
  })
  .superRefine(checkCurve, evenIfIncomplete);

export function toPumpSite(pump: z.output<typeof pumpSchema>): PumpSite {
  return {
    curve: pump.curve?.map(([flow_m3s, head_m]) => ({ flow_m3s, head_m })) ?? null,
    maxStartsPerHour: pump.max_starts_per_hour ?? null,
    minRun_s: pump.min_run ?? null,
  };
}

function checkCurve(pump: unknown, context: z.core.$RefinementCtx): void {
  for (let point = 1; point < lengthAt(pump, "curve"); point++) {
    const [flowBefore, headBefore] = [0, 1].map((axis) => numberAt(pump, "curve", point - 1, axis));
    const [flow, head] = [0, 1].map((axis) => numberAt(pump, "curve", point, axis));
    if (isNumber(flow) && isNumber(flowBefore) && flow <= flowBefore) {
      report(
        context,
        ["curve", point, 0],
        `expected a flow above that of the point before, ${bothFlows(flowBefore)}, found ${bothFlows(flow)}`,
      );
    }
    if (isNumber(head) && isNumber(headBefore) && head >= headBefore) {
      report(
        context,
        ["curve", point, 1],
        `expected a head below that of the point before, ${bothHeads(headBefore)}, found ${bothHeads(head)}`,
      );
    }
  }
}

function isNumber(value: number | null | undefined): value is number {
  return typeof value === "number";
}
