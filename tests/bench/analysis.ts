// The speed of the analysis, held in one run against the least that could be done and against DuckDB: a month at 1 Hz
// (2.59 million rows, 86 MB), written to a temporary folder and removed.
// Run: npm run bench:analysis      (-- DAYS ROUNDS; 30 and 5 if not given)

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { ReadingRows } from "../../analysis/readings/reading-rows.ts";
import { loadSiteFile } from "../../daemon/config/load-site-file.ts";
import { readRows } from "../../daemon/recordings/read-recording.ts";
import { type BareFills, barePass } from "./month/bare-pass.ts";
import { inTurns, median } from "./month/in-turns.ts";
import { liveReadings } from "./month/live-readings.ts";
import { monthSiteFile, playMonth, writeRecording } from "./month/month.ts";
import { plainRead, tightScan, touchEveryByte } from "./month/scan-csv.ts";
import { sayStages } from "./month/stages.ts";
import { numberGiven } from "./number-given.ts";

const days = numberGiven(0, "DAYS", 30);
const rounds = numberGiven(1, "ROUNDS", 5);
const folder = mkdtempSync(join(tmpdir(), "bench-analysis-"));
const recording = join(folder, "month.csv");
const minute = join(folder, "minute.csv");
const siteFile = join(folder, "site.yaml");
const report = join(folder, "report.json");
const cpuNote = join(folder, "cpu");
const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

try {
  writeFileSync(siteFile, monthSiteFile);
  const month = playMonth(days);
  const bytes = writeRecording(month, recording);
  writeRecording({ ...month, rows: 60 }, minute);
  const loaded = loadSiteFile(siteFile);
  if (!loaded.ok) throw new Error(loaded.problems.map(({ text }) => text).join("\n"));
  const { site } = loaded.siteFile;

  const bare = () => {
    const pass = barePass();
    for (let i = 0; i < month.rows; i++) pass.push((month.time_ms[i] ?? 0) / 1000, month.level_mm[i] ?? 0);
    return pass.end();
  };
  const rows: ReadingRows = {
    time_ms: month.time_ms,
    columns: [month.level_mm.map((level_mm) => level_mm / 1000), Float64Array.from(month.pumpOn)],
    channels: ["level_m", "pumpOn"],
  };
  // In blocks, as the reader of recordings gives them.
  const analysis = () => {
    const analyzer = createAnalyzer(site);
    for (let i = 0; i < month.rows; i += 8192) analyzer.pushRows(rows, i, Math.min(month.rows, i + 8192));
    analyzer.finish();
    return analyzer.summary();
  };
  const strictRead = async () => {
    let rows = 0;
    const { problems } = await readRows(recording, { onRestart() {} }, (_, from, to) => {
      rows += to - from;
    });
    if (problems.length > 0 || rows !== month.rows) throw new Error(`read ${rows} rows: ${problems.join("\n")}`);
  };
  const cpu_ms = { analyze: [] as number[], duckdb: [] as number[] };
  const analyze = (which = recording) =>
    run(here("../../daemon/undercroft.js"), "analyze", which, "--site", siteFile, "--json", report);
  const wholeAnalyze = () => {
    analyze();
    cpu_ms.analyze.push(notedCpu_ms());
  };
  const duckdb = () => {
    const found = JSON.parse(run(here("month/by-duckdb.ts"), recording)) as BareFills;
    cpu_ms.duckdb.push(notedCpu_ms());
    return found;
  };

  console.log(
    `${days} days at 1 Hz: ${month.rows} rows, ${(bytes / 1e6).toFixed(1)} MB; medians of ${rounds} rounds in turns`,
  );
  const begun = performance.now();
  const { starts } = analysis().totals;
  const cold = performance.now() - begun;
  agree(bare(), duckdb(), starts);
  const ms = await inTurns(
    [
      { name: "plain read of the bytes", run: () => plainRead(recording) },
      { name: "touch every byte", run: () => touchEveryByte(recording) },
      { name: "tight scanner", run: () => tightScan(recording, month.rows) },
      { name: "reading the CSV, strictly", run: strictRead },
      { name: "bare threshold-and-slope pass", run: bare },
      { name: "the analysis", run: analysis },
      { name: "DuckDB, 2 threads, whole process", run: duckdb },
      { name: "Node alone", run: () => run("-e", "0") },
      { name: "analyze of a minute", run: () => analyze(minute) },
      { name: "analyze, whole process", run: wholeAnalyze },
    ],
    rounds,
  );
  for (const [name, took_ms] of ms) {
    console.log(
      `${name.padEnd(36)}${took_ms.toFixed(1).padStart(9)} ms ${((took_ms * 1e6) / month.rows).toFixed(1).padStart(8)} ns a row`,
    );
  }
  const ratio = (of: string, to: string) => (ms.get(of) ?? Number.NaN) / (ms.get(to) ?? Number.NaN);
  const took = (name: string) => ms.get(name) ?? Number.NaN;
  sayStages({
    node: took("Node alone"),
    minute: took("analyze of a minute"),
    warm: took("the analysis"),
    cold,
    reading: took("reading the CSV, strictly"),
    whole: took("analyze, whole process"),
  });
  const live = liveReadings(site, month);
  console.log("");
  judge("analyze / DuckDB", ratio("analyze, whole process", "DuckDB, 2 threads, whole process"), 0.9);
  const cpu = `${median(cpu_ms.analyze).toFixed(0)} / ${median(cpu_ms.duckdb).toFixed(0)} ms`;
  const cpuRatio = (median(cpu_ms.analyze) / median(cpu_ms.duckdb)).toFixed(2);
  console.log(`… in processor time, of all threads      ${cpuRatio.padStart(8)}   ${cpu}`);
  judge("reading the CSV / tight scanner", ratio("reading the CSV, strictly", "tight scanner"), 3);
  judge("the analysis / bare pass", ratio("the analysis", "bare threshold-and-slope pass"), 20);
  judge("a live reading, median, µs", live.median_us, 3);
  judge("heap grown in the last third of it, kB", live.grown_kb, 64);
  console.log(
    `a live reading, 99 %: ${live.p99_us.toFixed(2)} µs; asking for the time, in each: ${live.clock_us.toFixed(2)} µs`,
  );
  console.log(`all that is kept of the month: ${live.state_kb.toFixed(0)} kB`);
  console.log(`report of ${readFileSync(report).length} bytes`);
} finally {
  rmSync(folder, { recursive: true });
}

function run(...args: readonly string[]): string {
  return execFileSync(process.execPath, ["--import", here("month/note-cpu.ts"), ...args], {
    encoding: "utf8",
    maxBuffer: 1e8,
    // What was compiled is kept for both: neither is to pay for TypeScript each time.
    env: { ...process.env, NOTE_CPU: cpuNote, NODE_COMPILE_CACHE: join(folder, "compiled") },
  });
}

/** Of the latest program that was run. */
function notedCpu_ms(): number {
  return Number(readFileSync(cpuNote, "utf8"));
}

/** All three have found the same fills; a run at either end of the recording is a fill to some and not to others. */
function agree(bare: BareFills, byDuckdb: BareFills, starts: number): void {
  const same = bare.fills === byDuckdb.fills && Math.abs(bare.slopes / byDuckdb.slopes - 1) < 1e-9;
  const found = `fills: ${bare.fills} bare, ${byDuckdb.fills} by DuckDB; pump starts by the analysis: ${starts}`;
  if (!same || Math.abs(starts - bare.fills) > 2) throw new Error(`not the same result; ${found}`);
  console.log(found);
}

function judge(what: string, found: number, target: number): void {
  const verdict = found <= target ? "met" : "missed";
  console.log(`${what.padEnd(40)}${found.toFixed(2).padStart(8)}   target ${String(target).padStart(4)}   ${verdict}`);
}
