// Readings, and what is derived from them, as the line protocol of a time-series database: the very points that a board forwards.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { type Point, readingEncoder } from "../influx/points.ts";

/** @param basin name of the basin there: small letters, figures, hyphens */
export function* readingLines(readings: Iterable<Reading>, basin: string): Generator<string> {
  const encoder = readingEncoder(basin);
  for (const reading of readings) yield lineOf(encoder.point(reading));
}

export function* pointLines<T>(items: Iterable<T>, pointOf: (item: T) => Point): Generator<string> {
  for (const item of items) yield lineOf(pointOf(item));
}

/** Fields are as the protocol writes them already. */
export function lineOf({ measurement, tags, fields, timestamp }: Point): string {
  const series = [measurement, ...Object.entries(tags).map(([name, value]) => `${name}=${escaped(value)}`)].join(",");
  const values = Object.entries(fields).map(([name, value]) => `${name}=${value}`);
  return `${series} ${values.join(",")} ${timestamp}\n`;
}

function escaped(tag: string): string {
  return tag.replaceAll(/[,= ]/g, "\\$&");
}
