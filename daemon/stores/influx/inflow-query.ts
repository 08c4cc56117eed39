// Stretches of inflow out of the shared database: single ones, or those that the board joined by ten minutes or days where
// no more than that is to be seen, and the single ones after these.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Span } from "../store.ts";
import { thinInflow } from "../thin-inflow.ts";
import type { AskBasin } from "./basin-query.ts";
import { extentQuery } from "./extent-query.ts";
import { type InflowMeasurement, inflowColumns, inflowIn } from "./inflow-points.ts";
import { firstOf } from "./instant.ts";

const part_s = 600;
const day_s = 86_400;

export async function inflowQuery(ask: AskBasin, span: Span, points: number): Promise<InflowStretch[]> {
  const record = (await extentQuery(ask))?.record;
  if (record === undefined) return thinInflow(await overlapping(ask, "inflow", span), span, points);
  const length_s = Math.min(span.to_s, record.to_s) - Math.max(span.from_s, record.from_s);
  const each_s = length_s / Math.max(1, points);
  const found =
    each_s < part_s / 2
      ? await overlapping(ask, "inflow", span)
      : await joinedThenSingle(ask, each_s < day_s / 2 ? "inflow_10m" : "inflow_1d", span);
  return thinInflow(found, span, points);
}

async function joinedThenSingle(ask: AskBasin, from: InflowMeasurement, span: Span): Promise<InflowStretch[]> {
  const joined = await overlapping(ask, from, span);
  const end_s = joined.at(-1)?.to_s ?? span.from_s;
  const single = end_s < span.to_s ? await overlapping(ask, "inflow", { from_s: end_s, to_s: span.to_s }) : [];
  return [...joined, ...single.filter(({ from_s }) => from_s > end_s - 0.001)];
}

/** None lies over another: of those that begin before the span, only the last can reach into it. */
async function overlapping(ask: AskBasin, from: InflowMeasurement, span: Span): Promise<InflowStretch[]> {
  const [[last], within] = await Promise.all([
    ask({ select: inflowColumns, from, where: `time < ${firstOf(span.from_s)}`, rest: "ORDER BY time DESC LIMIT 1" }),
    ask({ select: inflowColumns, from, where: `time >= ${firstOf(span.from_s)} AND time <= ${firstOf(span.to_s)}` }),
  ]);
  return [...(last === undefined ? [] : [last]), ...within]
    .map(inflowIn)
    .filter((stretch) => stretch !== null)
    .filter(({ from_s, to_s }) => from_s <= span.to_s && to_s >= span.from_s);
}
