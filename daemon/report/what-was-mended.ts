// What had to be put right in a recording before it could be analysed, for the person and for the report.

import { iso } from "../../analysis/report/summarize.ts";
import type { RecordingResult } from "../recordings/read-recording.ts";

/** One line for each kind of mend, fit for standard error. */
export function mendedInWords(recording: string, result: RecordingResult): string[] {
  const lines: string[] = [];
  const note = (count: number, text: string) => count > 0 && lines.push(`${recording}: ${count} ${text}`);
  const rows = (count: number) => (count === 1 ? "row" : "rows");
  note(result.doubles, `doubled ${rows(result.doubles)} left out`);
  note(result.conflicts, `${rows(result.conflicts)} gave another value for a time that had one; the first was kept`);
  if (result.sorted) lines.push(`${recording}: the rows were out of order and have been sorted`);
  for (const step of result.clockSteps) {
    lines.push(
      `${recording}: the clock was set back by ${Math.round(step.added_s)} s after ${iso(step.at_s)}; later times are carried forward`,
    );
  }
  return lines;
}

/** The same, as a member of the report. */
export function whatWasMended({ doubles, conflicts, sorted, clockSteps, unknownColumns }: RecordingResult) {
  return { doubles, conflicts, sorted, clock_steps: clockSteps.length, unknown_columns: unknownColumns };
}
