// Says what is wrong with a reading that a source gives, so that nothing but finite numbers and plain yes or no goes on.

import { channels, type Reading } from "../../analysis/readings/reading.ts";
import type { SourceReading } from "./source.ts";

const switches: ReadonlySet<string> = new Set<keyof Reading>([
  "pumpOn",
  "floatOn",
  "pump2On",
  "float2On",
  "highFloat",
  "mainsOn",
]);
const known: ReadonlySet<string> = new Set(channels);

/** Null for a reading that is fit. */
export function explainUnfitReading(reading: SourceReading): string | null {
  for (const [key, value] of Object.entries(reading)) {
    if (key === "time_s") {
      if (!Number.isFinite(value)) return `time_s: expected a finite number of seconds, found ${value}`;
    } else if (!known.has(key)) {
      return `${key}: expected one of ${channels.join(", ")}`;
    } else if (value !== null && !(switches.has(key) ? typeof value === "boolean" : Number.isFinite(value))) {
      return `${key}: expected ${switches.has(key) ? "true or false" : "a finite number"}, found ${value}`;
    }
  }
  return null;
}
