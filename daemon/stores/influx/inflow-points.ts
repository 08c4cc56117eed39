// Stretches of inflow as points, one by its beginning, and back; single ones, and those joined by ten minutes.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { JoinedInflow } from "./inflow-joins.ts";
import { stamp, timeIn } from "./instant.ts";
import { knownIn, needed, putKnown } from "./known-fields.ts";
import { type Fields, lineInteger, numberIn, type Row } from "./line-values.ts";
import { type Point, pointOf } from "./point.ts";

/** In this order for ever: a new one comes at the end. */
const names = ["from_s", "to_s", "inflow_m3s", "uInflow_m3s"] as const;

/** `to_us` is the end in microseconds after the beginning; `to_s` is there where that cannot say it. */
export type InflowMeasurement = "inflow" | "inflow_10m" | "inflow_1d";

export const inflowColumns = [...names, "to_us", "known"];

export function inflowPoint(basin: string, stretch: InflowStretch): Point {
  return point("inflow", basin, stretch);
}

/** One that is joined of those that begin in the same ten minutes, or the same day. */
export function joinedInflowPoint(basin: string, { stretch, length_s }: JoinedInflow): Point {
  return point(length_s === 600 ? "inflow_10m" : "inflow_1d", basin, stretch);
}

function point(measurement: InflowMeasurement, basin: string, stretch: InflowStretch): Point {
  const fields: Fields = {};
  const timestamp = stamp(fields, "from_s", stretch.from_s);
  const to_us = Math.round(stretch.to_s * 1e6) - Math.round(stretch.from_s * 1e6);
  fields.to_us = lineInteger(to_us);
  putKnown(fields, names, {
    from_s: fields.from_s === undefined ? null : stretch.from_s,
    to_s: endOf(stretch.from_s, to_us) === stretch.to_s ? null : stretch.to_s,
    inflow_m3s: stretch.inflow_m3s,
    uInflow_m3s: stretch.uInflow_m3s,
  });
  return pointOf(measurement, basin, timestamp, fields);
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
