// A recording through the same analysis as the live readings, to a report: what `undercroft analyze` does once it is
// called. What the report holds is in analysis/report/.

import { type AnalyzerSink, createAnalyzer } from "../analysis/analyzer.ts";
import { cycleWithBudget, overAllBudget } from "../analysis/report/report-budget.ts";
import type { Site } from "../analysis/site.ts";
import { type Asked, type RecordingCommand, readForAnalysis, refuse, whatIsAsked } from "./read-for-analysis.ts";
import type { RowTable } from "./recordings/row-table.ts";
import { budgetInWords } from "./report/budget-in-words.ts";
import { CannotWriteReport } from "./report/cannot-write-report.ts";
import { medianOfMany } from "./report/median-of-many.ts";
import { openReportFile, type ReportFile } from "./report/report-file.ts";
import { type MeasuredRate, reportInWords } from "./report/report-in-words.ts";
import { whatWasMended } from "./report/what-was-mended.ts";

export interface AnalyzeOptions extends RecordingCommand {
  /** Say what makes each figure uncertain. */
  readonly budget?: boolean;
}

/** As shells report a program that a signal has ended. */
const exitInterrupted = 130;

/** @param recording a CSV file, gzipped or not, or `-` for standard input */
export async function analyzeRecording(recording: string, options: AnalyzeOptions): Promise<void> {
  const asked = whatIsAsked(recording, options);
  if (!asked.ok) return refuse(asked.problems);
  let report: ReportFile | null = null;
  const interrupted = () => {
    report?.discard();
    process.exit(exitInterrupted);
  };
  process.once("SIGINT", interrupted).once("SIGTERM", interrupted);
  try {
    const ofCycle = options.budget ? cycleWithBudget : undefined;
    report = options.json === undefined ? null : openReportFile(options.json, undefined, ofCycle);
    await toReport(recording, asked, report, options.budget ?? false);
  } catch (error) {
    if (!(error instanceof CannotWriteReport)) throw error;
    refuse([`--json: ${error.message}`]);
  } finally {
    process.off("SIGINT", interrupted).off("SIGTERM", interrupted);
    report?.discard();
  }
}

/** @throws CannotWriteReport */
async function toReport(recording: string, asked: Asked, report: ReportFile | null, budget: boolean): Promise<void> {
  const { site } = asked.siteFile;
  const analysis = startAnalysis(site, report);
  const result = await readForAnalysis(recording, asked, analysis);
  if (result === null) return;
  const { summary, figures, measured } = analysis.finish();
  const inWords = () => [
    reportInWords(summary, site, measured),
    ...(budget ? [budgetInWords(overAllBudget(figures))] : []),
  ];
  if (report === null) console.log(inWords().join("\n"));
  else report.finish(summary, { recording: whatWasMended(result), ...(budget && { budget: overAllBudget(figures) }) });
}

/** The analysis and what it has given so far, which is forgotten when the recording has to be read anew in order. */
function startAnalysis(site: Site, report: ReportFile | null) {
  let pumpRates = medianOfMany();
  const forget = () => {
    report?.restart();
    pumpRates = medianOfMany();
  };
  const sink: AnalyzerSink = {
    cycle: (cycle, stage) => {
      if (stage !== "settled") return;
      report?.add(cycle);
      if (cycle.pumpRate !== null) pumpRates.add(cycle.pumpRate.flow_m3s);
    },
    takenBack: forget,
  };
  let analyzer = createAnalyzer(site, { sink });
  return {
    push: (table: RowTable, from: number, to: number) => analyzer.pushRows(table, from, to),
    restart: () => {
      forget();
      analyzer = createAnalyzer(site, { sink });
    },
    finish: () => {
      analyzer.finish();
      const median_m3s = pumpRates.median();
      const { pumpRate } = analyzer.situation();
      const together: MeasuredRate | null = pumpRate && { flow_m3s: pumpRate.flow_m3s, of: "together" };
      return {
        summary: analyzer.summary(),
        figures: analyzer.overAll(),
        measured: median_m3s === null ? together : ({ flow_m3s: median_m3s, of: "median" } as const),
      };
    },
  };
}
