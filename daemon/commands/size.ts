// `undercroft size --site SITE`: how big the pump must be, from a logged week or from a rise watched by hand.

import type { Command } from "commander";
import type { SizeOptions } from "../size-basin.ts";

export function register(program: Command): void {
  program
    .command("size")
    .summary("say how big the pump must be, and what goes with it")
    .description(
      "Works out the required flow and head, whether the pump that is there does, what\n" +
        "to ask a supplier for, pipe, float levels, time to the floor and backup; from a\n" +
        "recording, from a rise watched by hand, or both. What is missing is asked for.",
    )
    .requiredOption("--site <file>", "the site file (YAML) that describes the basin")
    .option("--recording <file>", "a logged stretch of time: .csv, .csv.gz, or - for standard input")
    .option(
      "--rain <file>",
      "rain of another gauge or station (CSV: time and rain_mm or rain_in), in place of the recording's",
    )
    .option("--rain-map <columns>", "that file's column names: rain_in=precip,time=date")
    .option(
      "--rise <text>",
      'a rise watched with the pump off, "20 in in 60 s", or "... from 6 in"; give it once for each repeat',
      (text: string, before: string[] | undefined) => [...(before ?? []), text],
    )
    .option("--ruler <length>", 'how well the ruler is read, half-width, such as "1/8 in" (which is also the default)')
    .option("--watch <time>", 'how well the watch is read, half-width, such as "0.5 s" (which is also the default)')
    .option("--within <share>", 'how well the inflow is to be known, such as "5 %" (which is also the default)')
    .option("--json <file>", "write the answer as JSON; without a file to write, it is said in words")
    .option("--html <file>", "write a report for the customer's file, as a page that stands by itself")
    .option("--pdf <file>", "the same as PDF, printed by the machine's Chromium")
    .option("--browser <program>", "which Chromium prints the PDF, where it has an unusual name")
    .option("--map <columns>", "the logger's column names: level_ft=bio_1_level,time=date_time")
    .option("--timezone <zone>", "where stamps without an offset were written, such as America/Toronto")
    .addHelpText("after", "\nExit status: 0 an answer was given, whatever it says; 2 bad input, no answer; 1 a defect.")
    .action(size);
}

async function size(options: SizeOptions): Promise<void> {
  const { sizeFromFiles } = await import("../size-basin.ts"); // the command line loads only what it runs
  await sizeFromFiles(options);
}
