// The `pump` group and the `pumps` list of the site file: the maker's curve and what the motor allows.

import * as z from "zod";
import { threeFigureCurve } from "../../../analysis/hydraulics/three-figures.ts";
import type { CurvePoint, PumpSite } from "../../../analysis/site.ts";
import {
  at,
  bothFlows,
  bothHeads,
  bothLengths,
  evenIfIncomplete,
  has,
  lengthAt,
  numberAt,
  report,
} from "../cross-check.ts";
import { describeFound } from "../explain-issue.ts";
import { quantity } from "../quantity.ts";
import { riserSchema } from "./discharge.ts";

const rating = z
  .strictObject({
    shut_off_head: quantity("length", { above: "0 m" }).describe("the most that it lifts, at no flow"),
    rated: z
      .tuple([quantity("flow", { above: "0 L/s" }), quantity("length", { above: "0 m" })])
      .describe("flow and head of one point between, such as the best one"),
    maximum_flow: quantity("flow", { above: "0 L/s" }).describe("the most that it moves, at no head"),
  })
  .describe("in place of `curve`: three figures of the data sheet, through which a curve is drawn");

const share = () => quantity("share", { above: "0 %", max: "100 %" }).optional();

const motor = {
  curve: z
    .array(z.tuple([quantity("flow"), quantity("length")]))
    .min(2)
    .optional()
    .describe("the pump's published curve: points of flow and head, flow rising and head falling"),
  rating: rating.optional(),
  efficiency: share().describe("of the pump at work: power that the water takes on over power at the shaft"),
  motor_efficiency: share().describe("of its motor: power at the shaft over power from the supply"),
  input_power: quantity("power", { above: "0 W" })
    .optional()
    .describe("from the supply while it runs, measured or by its plate; outranks the efficiencies"),
  max_starts_per_hour: z.number().positive().optional().describe("starts in an hour that the motor allows"),
  min_run: quantity("duration", { above: "0 s" }).optional().describe("shortest run that does the motor no harm"),
};

export const pumpSchema = z.strictObject(motor).superRefine(checkCurve, evenIfIncomplete);

const level = () => quantity("length", { above: "0 mm" }).optional();

const oneOfTwo = z
  .strictObject({
    name: z.string().trim().min(1).max(60).optional().describe("what the report and the page call it"),
    ...motor,
    start_level: level().describe("water level at which its own float closes, if not `basin.start_level`"),
    stop_level: level().describe("water level at which its own float opens, if not `basin.stop_level`"),
    riser: riserSchema.optional().describe("its own pipe, up to where the two join; from there on `discharge` counts"),
  })
  .superRefine(checkCurve, evenIfIncomplete);

/** In place of `pump`. */
export const pumpsSchema = z
  .array(oneOfTwo)
  .min(2)
  .max(2)
  .superRefine(checkNames, evenIfIncomplete)
  .describe("two pumps in one basin, in place of `pump`: the one on duty first, then its standby");

export function toPumpSite(pump: z.output<typeof pumpSchema>): PumpSite {
  return {
    curve: curveOf(pump),
    ...(pump.rating !== undefined && { curveOfThree: true }),
    maxStartsPerHour: pump.max_starts_per_hour ?? null,
    minRun_s: pump.min_run ?? null,
    ...(pump.efficiency !== undefined && { efficiency: pump.efficiency }),
    ...(pump.motor_efficiency !== undefined && { motorEfficiency: pump.motor_efficiency }),
    ...(pump.input_power !== undefined && { inputPower_w: pump.input_power }),
  };
}

function curveOf({ curve, rating: three }: z.output<typeof pumpSchema>): readonly CurvePoint[] | null {
  if (three === undefined) return curve?.map(([flow_m3s, head_m]) => ({ flow_m3s, head_m })) ?? null;
  const [flow_m3s, head_m] = three.rated;
  return threeFigureCurve(three.shut_off_head, { flow_m3s, head_m }, three.maximum_flow);
}

export function toPumpSites(pumps: z.output<typeof pumpsSchema>): readonly [PumpSite, PumpSite] | undefined {
  const [first, second] = pumps.map((pump) => ({
    ...toPumpSite(pump),
    name: pump.name ?? null,
    startLevel_m: pump.start_level ?? null,
    stopLevel_m: pump.stop_level ?? null,
  }));
  return first === undefined || second === undefined ? undefined : [first, second];
}

/**
 * Either `pump` or `pumps`; and each pump's own levels in order, with the basin's for those that it does not give.
 *
 * @param siteFile the whole file, for the basin's levels stand elsewhere
 */
export function checkPumps(siteFile: unknown, context: z.core.$RefinementCtx): void {
  if (at(siteFile, "pump") !== undefined && at(siteFile, "pumps") !== undefined) {
    report(context, ["pumps"], "expected either pump, for one, or pumps, for two, found both");
  }
  for (let index = 0; index < lengthAt(siteFile, "pumps"); index++) {
    if (has(siteFile, "pumps", index, "riser") && !has(siteFile, "discharge")) {
      report(context, ["pumps", index, "riser"], "expected a discharge that it leads into, found none");
    }
    const own = (key: string) => numberAt(siteFile, "pumps", index, key);
    const [start_m, stop_m] = ["start_level", "stop_level"].map((key) => own(key) ?? numberAt(siteFile, "basin", key));
    const key = own("stop_level") === null ? "start_level" : "stop_level";
    if (own(key) === null || !isNumber(start_m) || !isNumber(stop_m) || stop_m < start_m) continue;
    const [expected, found] =
      key === "stop_level"
        ? [`less than its start_level, ${bothLengths(start_m)}`, stop_m]
        : [`more than its stop_level, ${bothLengths(stop_m)}`, start_m];
    report(context, ["pumps", index, key], `expected ${expected}, found ${bothLengths(found)}`);
  }
}

/** Report and page tell the two apart by name. */
function checkNames(pumps: unknown, context: z.core.$RefinementCtx): void {
  const [first, second] = [at(pumps, 0, "name"), at(pumps, 1, "name")];
  if (typeof first !== "string" || first !== second) return;
  report(context, [1, "name"], `expected a name that the other pump has not, found ${describeFound(first)} again`);
}

function checkCurve(pump: unknown, context: z.core.$RefinementCtx): void {
  checkRating(pump, context);
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

/** The rated point lies between the other two figures; and one pump has one curve. */
function checkRating(pump: unknown, context: z.core.$RefinementCtx): void {
  if (has(pump, "curve") && has(pump, "rating")) {
    report(context, ["rating"], "expected either curve or rating, found both");
  }
  const [flow, most] = [numberAt(pump, "rating", "rated", 0), numberAt(pump, "rating", "maximum_flow")];
  if (isNumber(flow) && isNumber(most) && flow >= most) {
    report(
      context,
      ["rating", "rated", 0],
      `expected less than maximum_flow, ${bothFlows(most)}, found ${bothFlows(flow)}`,
    );
  }
  const [head, shutOff] = [numberAt(pump, "rating", "rated", 1), numberAt(pump, "rating", "shut_off_head")];
  if (isNumber(head) && isNumber(shutOff) && head >= shutOff) {
    report(
      context,
      ["rating", "rated", 1],
      `expected less than shut_off_head, ${bothHeads(shutOff)}, found ${bothHeads(head)}`,
    );
  }
}

function isNumber(value: number | null | undefined): value is number {
  return typeof value === "number";
}
