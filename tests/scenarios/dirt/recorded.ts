// A played basin as a logger would have written it, and what reading it back gives.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { type RecordingOptions, readRecording } from "../../../daemon/recordings/read-recording.ts";

/** One line for each reading; `stamp` writes the time of a reading, or leaves the row out. */
export function lines(readings: readonly Reading[], stamp: (time_s: number) => string | null): string[] {
  return readings.flatMap(({ time_s, level_m, pumpOn }) => {
    const time = stamp(time_s);
    return time === null ? [] : [`${time},${level_m === null ? "" : (level_m * 1000).toFixed(1)},${pumpOn ? 1 : 0}`];
  });
}

export async function readBack(rows: readonly string[], options: RecordingOptions = {}) {
  async function* stdin(): AsyncGenerator<Uint8Array> {
    yield new TextEncoder().encode(`time,level_mm,pump_on\n${rows.join("\n")}\n`);
  }
  const readings: Reading[] = [];
  const result = await readRecording("-", { ...options, stdin: stdin() }, (reading) => readings.push(reading));
  return { readings, result };
}

export function utc(time_s: number): string {
  return new Date(Math.round(time_s * 1000)).toISOString();
}

/** As a clock on the wall shows it, without an offset. */
export function onTheWall(time_s: number, zone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(Math.round(time_s * 1000))
    .toZonedDateTimeISO(zone)
    .toPlainDateTime()
    .toString({ smallestUnit: "second" });
}
