// What a basin is, as one point that is written anew when it changes, and back.

import type { ReportSummary } from "../../../analysis/report/report.ts";
import type { SiteInfo } from "../../server/api-types.ts";
import { nanoseconds } from "./instant.ts";
import { lineFloat, lineText, numberIn, type Row, textIn } from "./line-values.ts";
import { type Point, pointOf } from "./point.ts";

export interface BasinFacts {
  readonly info: SiteInfo;
  /** The report so far, without its cycles. */
  readonly summary: ReportSummary;
  /** When the board said so. */
  readonly said_s: number;
}

export const basinColumns = ["info", "summary", "said_s"];

export function basinPoint(basin: string, { info, summary, said_s }: BasinFacts): Point {
  return pointOf("basin", basin, nanoseconds(0), {
    info: lineText(JSON.stringify(info)),
    summary: lineText(JSON.stringify(summary)),
    said_s: lineFloat(said_s),
  });
}

/** Null where no board has said what it is. A board writes these texts itself: who reads them trusts it that far. */
export function basinFactsIn(row: Row): BasinFacts | null {
  const [info, summary, said_s] = [textIn(row, "info"), textIn(row, "summary"), numberIn(row, "said_s")];
  if (info === null || summary === null || said_s === null) return null;
  return { info: JSON.parse(info), summary: JSON.parse(summary), said_s };
}
