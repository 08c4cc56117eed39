// A point as a row of an answer, as the database would give it: times in whole microseconds, rounded down.

import type { Point } from "../../../../daemon/stores/influx/point.ts";

export function asRow(point: Point): Record<string, unknown> {
  const row: Record<string, unknown> = { time: Number(BigInt(point.timestamp) / 1000n), ...point.tags };
  for (const [name, value] of Object.entries(point.fields)) row[name] = valueIn(String(value));
  return row;
}

function valueIn(text: string): unknown {
  if (text === "t" || text === "f") return text === "t";
  if (text.startsWith('"')) return text.slice(1, -1).replaceAll(/\\(["\\])/g, "$1");
  return Number(text.replace(/i$/, ""));
}
