// How a logger writes what it has read: a row each time, rows of what has changed alone, with or without a heartbeat.

import { type Channel, channels, type Reading } from "../../analysis/readings/reading.ts";

/**
 * Rows of what differs from what was last written, and a row of everything each `heartbeat_s` seconds, counted from the
 * first: a row that is due comes with the next reading.
 */
export function* changesOf(readings: Iterable<Reading>, heartbeat_s: number): Iterable<Reading> {
  const written: { [channel in Channel]?: Reading[Channel] } = {};
  let due_s = Number.NEGATIVE_INFINITY;
  for (const reading of readings) {
    const whole = reading.time_s >= due_s;
    if (whole) due_s = reading.time_s + heartbeat_s;
    const row: Record<string, unknown> = { time_s: reading.time_s };
    let says = false;
    for (const channel of channels) {
      const value = reading[channel];
      const isSaid = value !== null && (whole || value !== written[channel]);
      row[channel] = isSaid ? value : null;
      if (!isSaid) continue;
      written[channel] = value as never;
      says = true;
    }
    if (says) yield row as unknown as Reading;
  }
}
