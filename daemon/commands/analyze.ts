// `undercroft analyze RECORDING --site SITE`: a recorded stretch of time, through the same analysis as the live one,
// to a report.

import type { Command } from "commander";
import type { Analyzer, AnalyzerSink } from "../../analysis/analyzer.ts";
import { iso } from "../../analysis/report/summarize.ts";
import type { RecordingOptions, RecordingResult } from "../recordings/read-recording.ts";
import type { ReportFile } from "../report/report-file.ts";

interface AnalyzeOptions {
  readonly site: string;
  readonly json?: string;
  readonly map?: string;
  readonly timezone?: string;
}

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
    .option("--map <columns>", "the logger's column names: level_ft=bio_1_level,time=date_time")
    .option("--timezone <zone>", "where stamps without an offset were written, such as America/Toronto")
    .addHelpText("after", "\nExit status: 0 a report was made, whatever it says; 2 bad input, no report; 1 a defect.")
    .action(analyze);
}

async function analyze(recording: string, options: AnalyzeOptions): Promise<void> {
  const { loadSiteFile } = await import("../config/load-site-file.ts");
  const { parseColumnMap, readRecording } = await import("../recordings/read-recording.ts");
  const { createAnalyzer } = await import("../../analysis/analyzer.ts");

  const { localTime } = await import("../recordings/local-time.ts");
  const { medianOfMany } = await import("../report/median-of-many.ts");

  const loaded = loadSiteFile(options.site);
  const map = parseColumnMap(options.map ?? "");
  const problems = [
    ...(loaded.ok ? [] : loaded.problems.map(({ text }) => text)),
    ...(options.map !== undefined && !map.ok ? [`--map: ${map.problem}`] : []),
    ...(options.timezone !== undefined && localTime(options.timezone) === undefined
      ? [`--timezone: expected a time zone such as America/Toronto, found ${JSON.stringify(options.timezone)}`]
      : []),
  ];
  if (!loaded.ok || problems.length > 0) return refuse(problems);

  const { site, recording: settings } = loaded.siteFile;
  const report = options.json === undefined ? null : await openReport(options.json);
  if (report === "refused") return;
  let pumpRates = medianOfMany();
  const sink: AnalyzerSink = {
    cycle: (cycle, stage) => {
      if (stage !== "settled") return;
      report?.add(cycle);
      if (cycle.pumpRate !== null) pumpRates.add(cycle.pumpRate.flow_m3s);
    },
  };
  let analyzer: Analyzer = createAnalyzer(site, { sink });
  const progress = progressBar(recording);
  const timezone = options.timezone ?? settings.timezone;
  const readOptions: RecordingOptions = {
    columns: map.ok && options.map !== undefined ? { ...settings.columns, ...map.columns } : settings.columns,
    ...(timezone === null ? {} : { timezone }),
    missing: settings.missing,
    onProgress: progress.show,
    onUnknownColumn: (name) => console.error(`${recording}: column "${name}" is no channel and is ignored`),
    onRestart: () => {
      report?.restart();
      pumpRates = medianOfMany();
      analyzer = createAnalyzer(site, { sink });
    },
  };
  const result = await readRecording(recording, readOptions, (reading) => analyzer.push(reading));
  progress.clear();
  if (result.problems.length > 0) {
    report?.discard();
    return refuse(result.problems);
  }
  for (const note of notes(recording, result)) console.error(note);
  analyzer.finish();
  const summary = analyzer.summary();
  if (report !== null) return report.finish(summary, { recording: whatWasMended(result) });
  const { reportInWords } = await import("../report/report-in-words.ts");
  console.log(reportInWords(summary, site, pumpRates.median()));
}

async function openReport(path: string): Promise<ReportFile | "refused"> {
  const { openReportFile } = await import("../report/report-file.ts");
  try {
    return openReportFile(path);
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
    const found = cannotWrite[code] ?? `one that cannot (${code})`;
    refuse([`--json: expected a file that can be written, found ${found}: ${path}`]);
    return "refused";
  }
}

const cannotWrite: Readonly<Record<string, string>> = {
  EISDIR: "a folder",
  ENOENT: "one in a folder that is not there",
  ENOTDIR: "one in a folder that is not there",
  EACCES: "one that this user may not write",
  EROFS: "one on a disk that is read-only",
};

function refuse(problems: readonly string[]): void {
  for (const problem of problems) console.error(problem);
  process.exitCode = 2;
}

/** What had to be put right in the recording, for the person. */
function notes(recording: string, result: RecordingResult): string[] {
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

/** The same, for the report. */
function whatWasMended({ doubles, conflicts, sorted, clockSteps, unknownColumns }: RecordingResult) {
  return { doubles, conflicts, sorted, clock_steps: clockSteps.length, unknown_columns: unknownColumns };
}

const patience_ms = 1000;
const barLength = 30;

/** A bar on standard error, only on a terminal and only once reading has taken a second. */
function progressBar(name: string): { show(done: number, total: number): void; clear(): void } {
  const started_ms = performance.now();
  let shown = -1;
  return {
    show: (done, total) => {
      if (!process.stderr.isTTY || !(total > 0) || performance.now() - started_ms < patience_ms) return;
      const percent = Math.floor((100 * done) / total);
      if (percent === shown) return;
      shown = percent;
      const filled = Math.round((barLength * percent) / 100);
      process.stderr.write(`\r${name} ${"█".repeat(filled)}${"░".repeat(barLength - filled)} ${percent} %`);
    },
    clear: () => {
      if (shown >= 0) process.stderr.write("\r\x1b[K");
    },
  };
}
