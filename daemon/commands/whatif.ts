// `undercroft whatif RECORDING --site SITE`: what the recorded inflow would have done to another installation.

import { type Command, Option } from "commander";
import type { WhatIfOptions } from "../whatif-recording.ts";

export function register(program: Command): void {
  program
    .command("whatif")
    .summary("replay a recording's inflow against other pumps, pipes, floats, power cuts and batteries")
    .description(
      "Runs the inflow of a recording, cycle by cycle, against the installation as it is and against candidates: highest\n" +
        "water, starts, time above high water, what runs over. The installation as it is comes first, beside what really\n" +
        "happened, so that you see how far to trust the rest.",
    )
    .argument("<recording>", "the recording: .csv, .csv.gz, or - for standard input")
    .requiredOption("--site <file>", "the site file (YAML) that describes the installation as it is")
    .option("--candidates <file>", "the candidates (YAML): what each has other than the site file")
    .option("--start-level <level>", 'another start level, such as "12 in"')
    .option("--stop-level <level>", "another stop level")
    .option("--pipe <size>", 'another nominal size of the discharge pipe, such as "2 in"')
    .option(
      "--battery <charge>",
      'a battery that runs the pump in a power cut, such as "75 Ah"; see backup in the site file',
    )
    .option("--pump-power <power>", 'what the pump draws while it runs from the battery, such as "500 W"')
    .option("--power-cut <time>", 'the mains are out for so long, such as "4 h", in every row but the first')
    .option(
      "--power-cut-at <time>",
      "when, such as 2026-03-04T06:10:00Z; without it, when it hurts each candidate most",
    )
    .addOption(
      new Option("--storm [when]", "replay the site file's design.storm: only, or after the recording")
        .choices(["only", "after"])
        .preset("only"),
    )
    .option("--rain <file>", "rain of another gauge (CSV: time and rain_mm or rain_in), in place of the recording's")
    .option("--rain-map <columns>", "that file's column names: rain_in=precip,time=date")
    .addOption(
      new Option("--gaps <choice>", "time whose inflow is not known: leave it out, or go straight across")
        .choices(["leave-out", "bridge"])
        .default("leave-out"),
    )
    .option("--json <file>", "write the answer as JSON; without it, it is said in words")
    .option("--map <columns>", "the logger's column names: level_ft=bio_1_level,time=date_time")
    .option("--timezone <zone>", "where stamps without an offset were written, such as America/Toronto")
    .addHelpText("after", "\nExit status: 0 an answer was given, whatever it says; 2 bad input, no answer; 1 a defect.")
    .action(whatIf);
}

async function whatIf(recording: string, options: WhatIfOptions): Promise<void> {
  const { whatIfOfRecording } = await import("../whatif-recording.ts"); // the command line loads only what it runs
  await whatIfOfRecording(recording, options);
}
