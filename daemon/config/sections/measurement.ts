// The `measurement` group of the site file: how well the basin and its instruments are known. Nothing is assumed of what is
// not stated here. Each figure is the half-width of an interval that holds the true value in 95 of 100 cases.

import * as z from "zod";
import type { MeasurementSite } from "../../../analysis/site.ts";
import { normalQuantile } from "../../../analysis/statistics/normal-quantile.ts";
import { quantity } from "../quantity.ts";

const share = () => quantity("share", { max: "50 %" }).optional();
const most = { max: "200 mm" };

export const measurementSchema = () =>
  z.strictObject({
    geometry: share().describe(
      "±, how far a volume reckoned from the basin's shape may be off, 95 % coverage; twice a diameter's own percentage",
    ),
    level_span: share().describe("±, how far the level sensor's span (its gain) may be off, 95 % coverage"),
    level_zero: quantity("length", most)
      .optional()
      .describe("±, how far its zero may be off; matters where the free surface changes with the level (a table)"),
    float_levels: quantity("length", most)
      .optional()
      .describe("±, how far `start_level` and `stop_level`, each, may be from where the float trips on the average"),
    float_repeatability: quantity("length", most)
      .optional()
      .describe(
        "±, one trip of the float against the next; without a level read, 8 mm is taken (common practice, no source)",
      ),
    edge_timing: quantity("duration", { max: "1 min" })
      .optional()
      .describe("±, how far the time of a switch may be off, beside the interval between readings"),
  });

export function toMeasurementSite(keys: z.output<ReturnType<typeof measurementSchema>>): MeasurementSite {
  return {
    uGeometry: standardUncertainty(keys.geometry),
    uLevelSpan: standardUncertainty(keys.level_span),
    uLevelZero_m: standardUncertainty(keys.level_zero),
    uFloatLevels_m: standardUncertainty(keys.float_levels),
    uFloatRepeatability_m: standardUncertainty(keys.float_repeatability),
    uEdge_s: standardUncertainty(keys.edge_timing),
  };
}

/** The half-width of a normal distribution's 95 % interval over 1.96 (JCGM 100:2008, 4.3.4); null when not given. */
export function standardUncertainty(halfWidth: number | undefined): number | null {
  return halfWidth === undefined ? null : halfWidth / normalQuantile(0.975);
}
