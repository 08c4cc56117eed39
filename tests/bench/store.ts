// What the record costs: bytes against what the noise of the sensor alone would take, and against other ways to keep the
// same readings; wear of the card, ingest, how long a chart waits.
// Run: npm run bench:store [-- DAYS] [--write] [--without-influxd]
// At one reading a second; 30 days by default, 365 for the year: 1 GB of memory. --write renews daemon/stores/figures.md.

import { mkdtempSync, rmSync, statSync, writeFileSync } from "node:fs";
import { cpus, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { parseArgs } from "node:util";
import { silentReading } from "../../analysis/readings/reading.ts";
import { importRecording } from "../../daemon/stores/exchange/exchange.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { cutOffRecord, type Watched, watchOver } from "../fault/cut-off-record.ts";
import { type Month, playMonth, writeRecording } from "./month/month.ts";
import { noiseEntropy_B, residualEntropy_B } from "./record/entropy.ts";
import { inInfluxd } from "./record/influx-peer.ts";
import { table } from "./record/markdown-table.ts";
import { asParquet } from "./record/parquet-peer.ts";
import { rowPerReading } from "./record/peers.ts";
import { median, once, onceAsync, quantile, type Timed } from "./record/timing.ts";
import { measureWear } from "./record/wear.ts";

const { values: asked, positionals } = parseArgs({
  allowPositionals: true,
  options: { write: { type: "boolean" }, "without-influxd": { type: "boolean" } },
});
const days = Number(positionals[0] ?? 30);
const day_s = 86_400;
const points = 2000;
/** influxd takes minutes for more; bytes a reading stay the same. */
const influxDays = Math.min(days, 10);
const load = loadavg()[0]?.toFixed(1);
const folder = mkdtempSync(join(tmpdir(), "undercroft-bench-"));

try {
  const month = playMonth(days);
  const path = join(folder, "store.sqlite");
  const ingest = await takeIn(month, path);
  const rows = rowPerReading(join(folder, "rows.sqlite"), month);
  const sizes = await sizesOf(month, path, rows.perReading_B);
  const pass = referencePass();
  const times = [ingest, ...queries(month, path, pass), ...tenYears(pass), afterPowerCut(pass), ...ofRows(rows, pass)];
  const text = page(sizes, times, wear());
  console.log(text);
  if (asked.write) writeFileSync(new URL("../../daemon/stores/figures.md", import.meta.url), text);
} finally {
  rmSync(folder, { recursive: true });
}

type Line = readonly string[];

async function takeIn(month: Month, path: string): Promise<Line> {
  const recording = join(folder, "recording.csv");
  writeRecording(month, recording);
  const { clock_ms, cpu_ms } = await onceAsync(() => importRecording(path, recording));
  rmSync(recording);
  const year = (ms: number) => `${((ms / 1000) * (365 / days)).toFixed(1)} s`;
  return ["`store import` of a recording, for a year of it", year(clock_ms), year(cpu_ms), ""];
}

async function sizesOf(month: Month, path: string, rows_B: number): Promise<Line[]> {
  const entropy_B = residualEntropy_B(month.level_mm.map((level) => Math.round(level * 10)));
  const line = (name: string, figure: number | null): Line =>
    figure === null
      ? [name, "not measured: no influxd here", "", ""]
      : [name, figure.toFixed(3), (figure / entropy_B).toFixed(3), `${((figure * 365 * day_s) / 1e6).toFixed(1)} MB`];
  const { rows } = month;
  const some = { ...month, rows: influxDays * day_s };
  const inflx = (as: "steps" | "floats") => (asked["without-influxd"] ? null : inInfluxd(some, as));
  return [
    line("the sensor's noise alone, 1.5 mm in steps of 0.1 mm", noiseEntropy_B(1.5, 0.1)),
    line("**entropy of what is left of each level once it is foretold by the line before it**", entropy_B),
    ...ofRecord(path).map(([name, bytes]) => line(name, bytes / rows)),
    line("Parquet by DuckDB, zstd, whole numbers", await asParquet(month, join(folder, "peer.parquet"))),
    line("InfluxDB after compaction, levels as whole steps", await inflx("steps")),
    line("InfluxDB after compaction, levels as floats", await inflx("floats")),
    line("SQLite, a row for each reading", rows_B),
  ];
}

function ofRecord(path: string): [string, number][] {
  const database = new DatabaseSync(path, { readOnly: true });
  const sum = (query: string) => Number(database.prepare(query).get()?.n);
  const pages = (name: string) => sum(`SELECT sum(pgsize) AS n FROM dbstat WHERE name = '${name}'`);
  const found: [string, number][] = [
    ["the record's chunks, their bytes alone", sum("SELECT sum(length(body)) AS n FROM chunk")],
    ["the record's chunks, as pages of the file", pages("chunk")],
    ["and with the roll-ups", pages("chunk") + pages("day")],
    ["**the record's whole file**", statSync(path).size],
  ];
  database.close();
  return found;
}

/** As many as a month has readings, from the processor's own cache: others on the machine do not slow that down. */
function referencePass(): Timed {
  const array = Float64Array.from({ length: 32_768 }, (_, i) => i);
  return median(() => Array.from({ length: 79 }, () => sumOf(array)), 15);
}

function sumOf(values: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] as number;
  return sum;
}

function inTime(name: string, { clock_ms, cpu_ms }: Timed, pass: Timed): Line {
  return [name, `${clock_ms.toFixed(2)} ms`, `${cpu_ms.toFixed(2)} ms`, (cpu_ms / pass.cpu_ms).toFixed(2)];
}

function queries({ rows, time_ms }: Month, path: string, pass: Timed): Line[] {
  let store = openSqliteStore(path);
  const prepare = () => {
    store.close();
    store = openSqliteStore(path);
  };
  const end_s = (time_ms[rows - 1] ?? 0) / 1000;
  const spans = [
    ["an hour", 1 / 24],
    ["a day, from the readings", 1],
    ["4 days, from the readings", 4],
    ["a week", 7],
    ["30 days", 30],
    ["a year", 365],
  ] as const;
  const lines = spans
    .filter(([, span_days]) => span_days <= days)
    .flatMap(([name, span_days]) => {
      const level = () => store.level({ from_s: end_s - span_days * day_s, to_s: end_s }, points);
      const shown = level().time_s.length;
      return [
        inTime(`level over ${name}: ${shown} points, asked for the first time`, median(level, 15, { prepare }), pass),
        inTime("– and again", median(level, 15), pass),
      ];
    });
  store.close();
  return [inTime("reference: 2.6 million numbers added up", pass, pass), ...lines];
}

/** Ten years of one reading in ten minutes: as many days, and parts of them, as of any pace. */
function tenYears(pass: Timed): Line[] {
  const path = join(folder, "years.sqlite");
  const store = openSqliteStore(path);
  const [start_s, count] = [1_451_606_400, 10 * 365 * 144];
  for (let i = 0; i < count; i++) {
    store.append({ ...silentReading, time_s: start_s + i * 600, level_m: (1500 + (i % 977)) / 10_000 });
  }
  store.flush();
  const level = (years: number) => () =>
    store.level({ from_s: start_s + (10 - years) * 365 * day_s, to_s: start_s + 3650 * day_s }, points);
  const lines = [1, 10].flatMap((years) => [
    inTime(`level over ${years} of ten years: ${level(years)().time_s.length} points`, median(level(years), 51), pass),
    inTime("– 99 in 100 of these within", quantile(level(years), 100, 0.99), pass),
  ]);
  store.close();
  return [
    ...lines,
    inTime(
      "open ten years, and close them",
      median(() => openSqliteStore(path).close(), 5),
      pass,
    ),
  ];
}

/** Ten years at one reading a second, of which some hours are to be gone through again. */
function afterPowerCut(pass: Timed): Line {
  const month = playMonth(2.125);
  const path = cutOffRecord(join(folder, "cut.sqlite"), month, 2, 1826);
  const size_MB = Math.round(statSync(path).size / 1e6);
  let watched: Watched | undefined;
  const taken = once(() => {
    watched = watchOver(path);
  });
  watched?.store.close();
  return inTime(`watching again after a power cut, with ten years kept (${size_MB} MB)`, taken, pass);
}

function ofRows({ day, span }: ReturnType<typeof rowPerReading>, pass: Timed): Line[] {
  return [
    inTime("a row for each reading: the last day", day, pass),
    inTime(`a row for each reading: ${days} days by groups`, span, pass),
  ];
}

function wear(): string {
  const found = measureWear(7);
  if (found === null) return "Written to the card: not measured; a disk of its own needs root and a loop device.";
  const share = (found.day_B / (1440 * 4096)).toFixed(2);
  const cycles = Math.round(found.cycles / 2 / 7);
  return `Written to the card, the file system's journal and all else included, with ${cycles} cycles a day: ${(found.day_B / 1e6).toFixed(2)} MB a day, ${share} times a page a minute.`;
}

function page(sizes: readonly Line[], times: readonly Line[], worn: string): string {
  const { model = "unknown" } = cpus()[0] ?? {};
  return `# What the record costs

Written by \`npm run bench:store -- ${days} --write\`: ${days} days of an invented basement at one reading a second, of level and pump; InfluxDB with the first ${influxDays} of them. Times are of a machine with ${cpus().length} processors (${model}) and a load of ${load} at the start, so compare the last column: processor time against adding up 2.6 million numbers.

## Bytes a reading

${table(["", "B a reading", "× the entropy", "a year"], sizes)}

## Wear

${worn}

## Time

${table(["", "on the clock", "of the processor", "× the reference"], times)}
`;
}
