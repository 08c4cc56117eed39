// Stretches of inflow as points, one by its beginning, and back; single ones, and those joined by ten minutes.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import { stamp, timeIn } from "./instant.ts";
import { knownIn, needed, putKnown } from "./known-fields.ts";
import { type Fields, lineFloat, lineInteger, numberIn, type Row } from "./line-values.ts";
import { type Point, pointOf } from "./point.ts";

/** In this order for ever: a new one comes at the end. */
const names = ["from_s", "to_s", "inflow_m3s", "uInflow_m3s"] as const;

/** `to_us` is the end in microseconds after the beginning; `to_s` is there where that cannot say it. */
export const inflowColumns = [...names, "to_us", "known"];

export function inflowPoint(basin: string, stretch: InflowStretch): Point {
  return point("inflow", basin, stretch);
}

/** One of `joinInflow(…, 0, 600)`. */
export function joinedInflowPoint(basin: string, stretch: InflowStretch): Point {
  return point("inflow_10m", basin, stretch);
}

function point(measurement: "inflow" | "inflow_10m", basin: string, stretch: InflowStretch): Point {
  const fields: Fields = {};
  const timestamp = stamp(fields, "from_s", stretch.from_s);
  const from_us = Math.round(stretch.from_s * 1e6);
  const to_us = Math.round(stretch.to_s * 1e6) - from_us;
  fields.to_us = lineInteger(to_us);
  if (measurement === "inflow_10m") putSums(fields, stretch, from_us, to_us);
  putKnown(fields, names, {
    from_s: fields.from_s === undefined ? null : stretch.from_s,
    to_s: endOf(stretch.from_s, to_us) === stretch.to_s ? null : stretch.to_s,
    inflow_m3s: stretch.inflow_m3s,
    uInflow_m3s: stretch.uInflow_m3s,
  });
  return pointOf(measurement, basin, timestamp, fields);
}

/** What the database joins them further by: it adds up fields fast, and products of fields slowly. */
function putSums(fields: Fields, { inflow_m3s, uInflow_m3s }: InflowStretch, from_us: number, to_us: number): void {
  fields.from_us = lineInteger(from_us);
  fields.end_us = lineInteger(from_us + to_us);
  fields.volume_m3 = lineFloat((inflow_m3s * to_us) / 1e6);
  fields.uVolume_m3 = lineFloat((uInflow_m3s * to_us) / 1e6);
}

/** Null for one that was taken back. */
export function inflowIn(columns: Row): InflowStretch | null {
  const row = knownIn(columns, names);
  if (row === null) return null;
  const from_s = timeIn(row, "from_s");
  return {
    from_s,
    to_s: numberIn(row, "to_s") ?? endOf(from_s, needed(columns, "to_us")),
    inflow_m3s: needed(row, "inflow_m3s"),
    uInflow_m3s: needed(row, "uInflow_m3s"),
  };
}

function endOf(from_s: number, to_us: number): number {
  return (Math.round(from_s * 1e6) + to_us) / 1e6;
}
