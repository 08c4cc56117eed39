// The rows as tables: cells of text, laid out for a terminal or as Markdown.

import type { Row } from "./pool.ts";
import { biasMet, boundMet, coverageMet, findingRows, peaksMet, pumpCoverageMet, type Verdict } from "./verdicts.ts";

export interface Table {
  readonly head: readonly string[];
  readonly cells: readonly (readonly string[])[];
}

/** A figure that misses its target carries this. */
const miss = "!";

export function scenarioTable(rows: readonly Row[]): Table {
  return {
    head: [
      "scenario",
      "runs",
      "recall",
      "precision",
      "start s",
      "inflow bias %",
      "sd %",
      "over bound",
      "u95 %",
      "covered %",
      "unsaid %",
      "pump bias %",
      "sd %",
      "covered %",
      "returned L",
      "error L",
      "mean %",
      "pumped %",
      "peak 60 / 600 / 3600 %",
      "missed",
      "false",
    ],
    cells: rows.map(cellsOf),
  };
}

function cellsOf(row: Row): string[] {
  const { scenario, inflow, pumpRate, peaks } = row;
  const { judge } = scenario;
  const flows = judge.flows && inflow.compared > 0;
  const mark = (text: string, met: boolean | null) => (met === false ? `${text}${miss}` : text);
  const missed = row.events.filter(({ delay_s }) => delay_s === null).map(({ kind }) => kind);
  return [
    scenario.name,
    `${row.trueCycles}`,
    judge.cycles ? mark(row.recall.toFixed(4), row.recall >= 0.999) : "",
    judge.cycles ? mark(row.precision.toFixed(4), row.precision >= 0.999) : "",
    fixed(row.start_s, 1),
    flows ? mark(percent(inflow.bias, 2), biasMet(row)) : "",
    flows ? percent(inflow.sd, 2) : "",
    row.overBound === null ? "" : mark(row.overBound.rms.toFixed(3), boundMet(row)),
    flows ? percent(inflow.halfWidth, 2) : "",
    flows ? mark(percent(inflow.covered, 1), coverageMet(row)) : "",
    flows ? percent(inflow.unsaidShare, 1) : "",
    flows && pumpRate.compared > 0 ? percent(pumpRate.bias, 2) : "",
    flows && pumpRate.compared > 0 ? percent(pumpRate.sd, 2) : "",
    flows && pumpRate.compared > 0 ? mark(percent(pumpRate.covered, 1), pumpCoverageMet(row)) : "",
    fixed(row.returned_l, 2),
    fixed(row.returnError_l, 2),
    percent(row.mean, 2),
    percent(row.pumped, 1),
    mark(["60", "600", "3600"].map((w) => percent(peaks[w as "60"], 1)).join(" / "), peaksMet(row)),
    counted(missed),
    counted(row.falseAlarms.map(({ kind }) => kind)),
  ];
}

/** Starts of each of two pumps, and how far off what each is said to move is. */
export function twoPumpTable(rows: readonly Row[]): Table {
  return {
    head: ["scenario", "starts of the first", "of the second", "rate of the first %", "of the second %", "of both %"],
    cells: rows.flatMap(({ scenario, pumps }) =>
      pumps === null
        ? []
        : [
            [
              scenario.name,
              `${pumps.starts[0]} of ${pumps.trueStarts[0]}`,
              `${pumps.starts[1]} of ${pumps.trueStarts[1]}`,
              ...pumps.rates.map((rate) => percent(rate, 1)),
            ],
          ],
    ),
  };
}

/** Part of a table: its first column and some of the others. */
export function columnsOf({ head, cells }: Table, from: number, to: number): Table {
  const cut = (row: readonly string[]) => [row[0] ?? "", ...row.slice(from, to)];
  return { head: cut(head), cells: cells.map(cut) };
}

export function findingTable(rows: readonly Row[]): Table {
  return {
    head: [
      "finding",
      "scenarios",
      "times true",
      "found",
      "rate",
      "delay, median",
      "runs",
      "worst",
      "told again",
      "cause right",
      "false, healthy",
      "false, sick",
    ],
    cells: findingRows(rows).map((row) => [
      row.kind,
      `${row.scenarios}`,
      `${row.events}`,
      `${row.found}`,
      row.events === 0 ? "" : (row.found / row.events).toFixed(3) + (row.found / row.events < 0.99 ? miss : ""),
      row.found === 0 ? "" : duration(row.medianDelay_s),
      row.found === 0 ? "" : `${row.medianDelayCycles}`,
      row.found === 0 ? "" : duration(row.worstDelay_s),
      `${row.repeats}`,
      row.causes === 0 ? "" : `${row.causesRight} of ${row.causes}`,
      `${row.falseHealthy}`,
      `${row.falseSick}`,
    ]),
  };
}

export function verdictTable(all: readonly Verdict[]): Table {
  return {
    head: ["target", "measured", ""],
    cells: all.map(({ target, measured, met }) => [target, measured, met === null ? "" : met ? "met" : "missed"]),
  };
}

export function inMarkdown({ head, cells }: Table, numbersRight = true): string {
  const line = (texts: readonly string[]) => `| ${texts.join(" | ")} |`;
  return [line(head), line(head.map((_, i) => (i === 0 || !numbersRight ? "---" : "--:"))), ...cells.map(line)].join(
    "\n",
  );
}

export function inColumns({ head, cells }: Table): string {
  const widths = head.map((title, i) => Math.max(title.length, ...cells.map((row) => row[i]?.length ?? 0)));
  const line = (texts: readonly string[]) =>
    texts
      .map((text, i) => (i === 0 ? text.padEnd(widths[i] ?? 0) : text.padStart(widths[i] ?? 0)))
      .join("  ")
      .trimEnd();
  return [head, ...cells].map(line).join("\n");
}

function counted(kinds: readonly string[]): string {
  const counts = new Map<string, number>();
  for (const kind of kinds) counts.set(kind, (counts.get(kind) ?? 0) + 1);
  return [...counts].map(([kind, count]) => `${count} ${kind}`).join(", ");
}

function percent(share: number | null, digits: number): string {
  return share === null ? "–" : fixed(share * 100, digits);
}

function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return Number.isNaN(value) ? "–" : /^-0\.?0*$/.test(text) ? text.slice(1) : text;
}

function duration(seconds: number): string {
  if (seconds < 120) return `${Math.round(seconds)} s`;
  if (seconds < 7200) return `${Math.round(seconds / 60)} min`;
  return seconds < 172_800 ? `${(seconds / 3600).toFixed(1)} h` : `${(seconds / 86_400).toFixed(1)} d`;
}
