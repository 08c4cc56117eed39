// What the pump moves as the level falls, and what fits: lines of the report at the command line.

import type { ReportPumpCurve } from "../../analysis/report/report.ts";
import type { Site } from "../../analysis/site.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";
import { inWords } from "../config/in-words.ts";

/** At the highest and the lowest level at which it was measured; and, once enough is known, where the loss is. */
export function pumpCurveInWords({ curve, verdict, message }: ReportPumpCurve, site: Site): string[] {
  const words = inWords(site.displayUnits);
  const unit = site.displayUnits === "us" ? "gpm" : "L/min";
  const at = ({ level_mm, lpm, u95_lpm }: ReportPumpCurve["curve"][number]) => {
    const u95 = Number(fromSi(toSi(u95_lpm, "L/min"), unit).toPrecision(2));
    return `${words.flow(toSi(lpm, "L/min"))} ± ${u95} ${unit} with the water at ${words.level(toSi(level_mm, "mm"))}`;
  };
  const [lowest, highest] = [curve[0], curve.at(-1)];
  const learned = lowest && highest ? [`learned from its runs: ${at(highest)}`, `  and ${at(lowest)}`] : [];
  return verdict === "not-enough-data" ? learned : [...learned, message];
}
