// The sizing report as files: a page that stands by itself, and the same as PDF. What it says is in analysis/paper/.

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { reportDocument } from "../../analysis/paper/sizing-report.ts";
import type { SizingRequest } from "../../analysis/sizing/request.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import packageFile from "../../package.json" with { type: "json" };
import { CannotWriteReport } from "./cannot-write-report.ts";
import { findBrowser } from "./find-browser.ts";
import { writeJsonFile } from "./json-file.ts";
import { CannotPrint, printPdf } from "./print-pdf.ts";
import { reportPathProblem } from "./report-path-problem.ts";
import { writeWholeFile } from "./whole-file.ts";

export interface SizingReportOptions {
  readonly json?: string;
  readonly html?: string;
  readonly pdf?: string;
  /** Program that prints the PDF, by name or path. */
  readonly browser?: string;
}

/** What stands against the files and the browser; to be asked before anything is read, for a record takes its time. */
export function reportFileProblems(
  options: SizingReportOptions,
  inputs: { readonly recording: string | null; readonly site: string },
): string[] {
  const problems: string[] = [];
  const taken = new Map<string, string>();
  for (const option of ["json", "html", "pdf"] as const) {
    const path = options[option];
    if (path === undefined) continue;
    const before = taken.get(resolve(path));
    taken.set(resolve(path), option);
    if (before !== undefined)
      problems.push(`--${option}: expected a file of its own, found that of --${before}: ${path}`);
    if (option === "json") continue; // said with the recording's options
    const problem = reportPathProblem(path, inputs);
    if (problem !== null) problems.push(`--${option}: ${problem}`);
  }
  if (options.browser !== undefined && options.pdf === undefined) {
    problems.push("--browser: expected --pdf beside it, found none");
  }
  if (options.pdf !== undefined) {
    const browser = findBrowser(options.browser, process.env.PATH ?? "");
    if (!browser.ok) problems.push(`${options.browser === undefined ? "--pdf" : "--browser"}: ${browser.problem}`);
  }
  return problems;
}

/**
 * Writes each file that is asked for.
 *
 * @returns one line: what could not be written, and why; null when all of it is
 */
export async function writeSizingFiles(
  request: SizingRequest,
  answer: SizingAnswer,
  options: SizingReportOptions,
  madeAt: Date,
): Promise<string | null> {
  const writers = {
    json: (path: string) => writeJsonFile(path, answer),
    html: (path: string) => writeWholeFile(path, reportPage(request, answer, madeAt)),
    pdf: async (path: string) => {
      const browser = findBrowser(options.browser, process.env.PATH ?? "");
      if (!browser.ok) throw new CannotPrint(browser.problem);
      const pdf = await printPdf(reportPage(request, answer, madeAt), browser.program);
      const fits = pagesOf(pdf) <= mostPages;
      writeWholeFile(path, fits ? pdf : await printPdf(reportPage(request, answer, madeAt, true), browser.program));
    },
  };
  for (const option of ["json", "html", "pdf"] as const) {
    const path = options[option];
    try {
      if (path !== undefined) await writers[option](path);
    } catch (error) {
      if (!(error instanceof CannotWriteReport || error instanceof CannotPrint)) throw error;
      return `--${option}: ${error.message}`;
    }
  }
  return null;
}

const mostPages = 3;

/** As the objects of the PDF say. */
function pagesOf(pdf: Uint8Array): number {
  return (
    Buffer.from(pdf)
      .toString("latin1")
      .match(/\/Type ?\/Page\b/g)?.length ?? 0
  );
}

function reportPage({ site, logged }: SizingRequest, answer: SizingAnswer, madeAt: Date, dense = false): string {
  const css = readFileSync(new URL("../../analysis/paper/sizing-report.css", import.meta.url), "utf8");
  const inflow = logged?.inflow ?? [];
  const { version } = packageFile;
  return reportDocument({ answer, site, inflow, madeAt: madeAt.toISOString(), version, invented: false }, css, dense);
}
