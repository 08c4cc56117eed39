// `undercroft analyze RECORDING --site SITE`: a recorded stretch of time, through the same analysis as the live one,
// to a report.

import type { Command } from "commander";
import type { AnalyzeOptions } from "../analyze-recording.ts";
import { beginThread } from "../recordings/start-thread.ts";

export function register(program: Command): void {
  program
    .command("analyze")
    .summary("turn a recorded stretch of time into a report")
    .description(
      "Reads a recording (CSV, plain or gzipped, '-' for standard input) and reports cycles, inflow, peaks, findings\n" +
        "and whether the pump is large enough. Any logger's CSV will do, with a column map.",
    )
    .argument("<recording>", "the recording: .csv, .csv.gz, or - for standard input")
    .requiredOption("--site <file>", "the site file (YAML) that describes the basin")
    .option("--json <file>", "write the report as JSON; without it, a readable summary is printed")
    .option("--budget", "say of each figure what makes it uncertain, and by how much")
    .option("--map <columns>", "the logger's column names: level_ft=bio_1_level,time=date_time")
    .option("--timezone <zone>", "where stamps without an offset were written, such as America/Toronto")
    .addHelpText("after", "\nExit status: 0 a report was made, whatever it says; 2 bad input, no report; 1 a defect.")
    .action(analyze);
}

async function analyze(recording: string, options: AnalyzeOptions): Promise<void> {
  beginThread(recording);
  await import("../check-once.ts");
  const { analyzeRecording } = await import("../analyze-recording.ts"); // the command line loads only what it runs
  await analyzeRecording(recording, options);
}
