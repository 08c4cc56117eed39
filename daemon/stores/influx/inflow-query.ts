// Stretches of inflow out of the shared database: single ones, or where no more than that is to be seen those that the
// board joined by ten minutes, which the database joins further, and the single ones after these.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Span } from "../store.ts";
import { thinInflow } from "../thin-inflow.ts";
import { type AskBasin, askAll, askByTime } from "./basin-query.ts";
import { extentQuery } from "./extent-query.ts";
import { inflowColumns, inflowIn } from "./inflow-points.ts";
import { firstOf } from "./instant.ts";
import { numberIn, type Row } from "./line-values.ts";

const part_s = 600;
/** Stretches follow one another to within the rounding of their times. */
const gap_us = 1000;
/** So many rows are joined here; more by the database. */
const mostRows = 5000;

export async function inflowQuery(ask: AskBasin, span: Span, points: number): Promise<InflowStretch[]> {
  const record = (await extentQuery(ask))?.record;
  if (record === undefined) return []; // it is derived from readings
  const within = { from_s: Math.max(span.from_s, record.from_s), to_s: Math.min(span.to_s, record.to_s) };
  const each_s = (within.to_s - within.from_s) / Math.max(1, points);
  const found = each_s < part_s / 2 ? await overlapping(ask, "inflow", span) : await joined(ask, span, within, each_s);
  return thinInflow(found, span, points);
}

async function joined(ask: AskBasin, span: Span, within: Span, each_s: number): Promise<InflowStretch[]> {
  const few = (within.to_s - within.from_s) / part_s <= mostRows;
  const old = few
    ? await overlapping(ask, "inflow_10m", span)
    : await joinedThere(ask, within, Math.max(part_s, Math.floor(each_s / part_s) * part_s));
  const end_s = old.at(-1)?.to_s ?? span.from_s;
  const single = end_s < span.to_s ? await overlapping(ask, "inflow", { from_s: end_s, to_s: span.to_s }) : [];
  return [...old, ...single.filter(({ from_s }) => from_s > end_s - gap_us / 1e6)];
}

/** Those that begin in the same part of time as one; a part with a gap in it is joined here. */
async function joinedThere(ask: AskBasin, span: Span, each_s: number): Promise<InflowStretch[]> {
  const select = [
    ...["sum(volume_m3) AS volume_m3", "sum(uVolume_m3) AS uVolume_m3", "sum(to_us) AS lasted_us"],
    ...["min(from_us) AS from_us", "max(end_us) AS end_us"],
  ];
  const rows = await askByTime(ask, { select, from: "inflow_10m" }, span, each_s);
  const parts = await Promise.all(
    rows.map(
      (row) => wholePart(row) ?? overlapping(ask, "inflow_10m", partOf(row, each_s)).then(beginningIn(row, each_s)),
    ),
  );
  return parts.flat();
}

/** Null where stretches are missing between its beginning and its end. */
function wholePart(row: Row): InflowStretch[] | null {
  const [volume_m3, uVolume_m3, lasted_us, from_us, end_us] = [
    ...(["volume_m3", "uVolume_m3", "lasted_us", "from_us", "end_us"] as const),
  ].map((name) => numberIn(row, name) ?? Number.NaN) as [number, number, number, number, number];
  if (!(end_us - from_us - lasted_us <= gap_us && lasted_us > 0)) return null;
  const lasted_s = lasted_us / 1e6;
  const flows = { inflow_m3s: volume_m3 / lasted_s, uInflow_m3s: uVolume_m3 / lasted_s };
  return [{ from_s: from_us / 1e6, to_s: end_us / 1e6, ...flows }];
}

function partOf(row: Row, each_s: number): Span {
  const from_s = (row.time as number) / 1e6;
  return { from_s, to_s: from_s + each_s };
}

function beginningIn(row: Row, each_s: number): (stretches: readonly InflowStretch[]) => InflowStretch[] {
  const { from_s, to_s } = partOf(row, each_s);
  return (stretches) => stretches.filter((one) => one.from_s >= from_s && one.from_s < to_s);
}

/** None lies over another: of those that begin before the span, only the last can reach into it. */
async function overlapping(ask: AskBasin, from: "inflow" | "inflow_10m", span: Span): Promise<InflowStretch[]> {
  const [[last], within] = await Promise.all([
    ask({ select: inflowColumns, from, where: `time < ${firstOf(span.from_s)}`, rest: "ORDER BY time DESC LIMIT 1" }),
    askAll(ask, {
      select: inflowColumns,
      from,
      where: `time >= ${firstOf(span.from_s)} AND time <= ${firstOf(span.to_s)}`,
    }),
  ]);
  return [...(last === undefined ? [] : [last]), ...within]
    .map(inflowIn)
    .filter((stretch) => stretch !== null)
    .filter(({ from_s, to_s }) => from_s <= span.to_s && to_s >= span.from_s);
}
