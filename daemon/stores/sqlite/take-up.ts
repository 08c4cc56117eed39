// What was kept outside the database when the process ended, as far as the database does not have it.

import type { Recovered } from "../recent/recent.ts";
import { nothingWaiting, type Waiting } from "./waiting.ts";

/**
 * @param written readings in the database
 * @param batches up to which of the recent ones everything derived is in the database
 * @returns what waits, and of how many readings a power cut leaves all
 */
export function takeUp(
  recovered: Recovered,
  written: number,
  batches: number,
): { readonly waiting: Waiting; readonly onCard: number } {
  const waiting = nothingWaiting();
  const takeReadings = ({ firstNth, readings }: Recovered["noted"][number]) => {
    const next = written + waiting.readings.length + 1;
    for (const reading of readings.slice(Math.max(0, next - firstNth))) waiting.readings.push(reading);
  };
  for (const batch of recovered.kept) {
    takeReadings(batch);
    if (batch.sequence <= batches) continue;
    for (const cycle of batch.cycles) waiting.cycles.add(cycle);
    for (const finding of batch.findings) waiting.findings.add(finding);
  }
  const onCard = written + waiting.readings.length;
  for (const stretch of recovered.noted) {
    // Those of a record that has not come to them, or of another life of it, are not its own.
    if (stretch.firstNth <= written + waiting.readings.length + 1) takeReadings(stretch);
  }
  return { waiting, onCard };
}
