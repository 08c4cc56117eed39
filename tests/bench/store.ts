// What the record costs: bytes against what the noise of the sensor alone would take, wear of the card, ingest, and how
// long a chart waits. In milliseconds and ratios; a row for each reading beside it.
// Run: npm run bench:store [-- DAYS]      (at one reading a second; 30 by default, 365 for the year: 1 GB of memory)

import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { silentReading } from "../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../daemon/stores/store.ts";
import { type Month, playMonth } from "./month/month.ts";
import { noiseEntropy_B, residualEntropy_B } from "./record/entropy.ts";
import { rowPerReading } from "./record/peers.ts";
import { median_ms, once_ms, quantile_ms } from "./record/timing.ts";
import { measureWear } from "./record/wear.ts";

const days = Number(process.argv[2] ?? 30);
const day_s = 86_400;
const points = 2000;
const folder = mkdtempSync(join(tmpdir(), "undercroft-bench-"));
const say = (what: string, figure: string) => console.log(`${what.padEnd(58)} ${figure}`);
const bytes = (figure: number) => `${figure.toFixed(3)} B a reading`;

try {
  const month = playMonth(days);
  const entropy_B = sayEntropy(month);
  const path = join(folder, "store.sqlite");
  sayIngest(month, path);
  saySize(month, path, entropy_B);
  const store = openSqliteStore(path);
  sayQueries(month, store);
  store.close();
  sayTenYears(join(folder, "years.sqlite"));
  sayPeers(month, join(folder, "rows.sqlite"));
  sayWear();
} finally {
  rmSync(folder, { recursive: true });
}

function sayEntropy({ level_mm }: Month): number {
  const entropy_B = residualEntropy_B(level_mm.map((level) => Math.round(level * 10)));
  say("entropy of the noise alone, 1.5 mm in steps of 0.1 mm", bytes(noiseEntropy_B(1.5, 0.1)));
  say("entropy of what the foretelling leaves", bytes(entropy_B));
  return entropy_B;
}

function sayIngest({ rows, time_ms, level_mm, pumpOn }: Month, path: string): void {
  const store = openSqliteStore(path);
  const ingest_ms = once_ms(() => {
    for (let i = 0; i < rows; i++) {
      const level_m = Math.round((level_mm[i] ?? 0) * 10) / 10_000;
      store.append({ ...silentReading, time_s: (time_ms[i] ?? 0) / 1000, level_m, pumpOn: pumpOn[i] === 1 });
    }
    store.flush();
  });
  store.close();
  const year_s = (ingest_ms / 1000) * (365 / days);
  say(`ingest of ${rows} readings`, `${(ingest_ms / 1000).toFixed(1)} s: ${year_s.toFixed(1)} s a year of them`);
}

function saySize({ rows }: Month, path: string, entropy_B: number): void {
  const database = new DatabaseSync(path, { readOnly: true });
  const sum = (query: string) => Number(database.prepare(query).get()?.n);
  const payload_B = sum("SELECT sum(length(body)) AS n FROM chunk") / rows;
  const chunks_B = sum("SELECT sum(pgsize) AS n FROM dbstat WHERE name = 'chunk'") / rows;
  const rollups_B = sum("SELECT sum(pgsize) AS n FROM dbstat WHERE name = 'day'") / rows;
  database.close();
  const all_B = statSync(path).size / rows;
  const against = (figure: number) => `${bytes(figure)}: ${(figure / entropy_B).toFixed(3)} × the entropy`;
  say("chunks, their bytes alone", against(payload_B));
  say("chunks, as pages of the database", against(chunks_B));
  say("chunks and roll-ups", against(chunks_B + rollups_B));
  say("the whole file", `${against(all_B)}; ${((all_B * 365 * day_s) / 1e6).toFixed(1)} MB a year of it`);
}

function sayQueries({ rows, time_ms }: Month, store: Store): void {
  const end_s = (time_ms[rows - 1] ?? 0) / 1000;
  const array = Float64Array.from({ length: 2_592_000 }, (_, i) => i);
  const pass_ms = median_ms(() => sumOf(array), 7);
  say("reference: one pass over a month's levels in memory", `${pass_ms.toFixed(2)} ms`);
  for (const [name, span_days] of [
    ["an hour", 1 / 24],
    ["a day, from the readings", 1],
    ["4 days, from the readings", 4],
    ["a week", 7],
    ["30 days", 30],
    ["a year", 365],
  ] as const) {
    if (span_days > days) continue;
    const level = () => store.level({ from_s: end_s - span_days * day_s, to_s: end_s }, points);
    const ms = median_ms(level, 15);
    say(
      `level over ${name}: ${level().time_s.length} points`,
      `${ms.toFixed(2)} ms: ${(ms / pass_ms).toFixed(2)} × the pass`,
    );
  }
}

function sumOf(values: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] as number;
  return sum;
}

/** Ten years of one reading in ten minutes: as many days, and parts of them, as of any pace. */
function sayTenYears(path: string): void {
  const store = openSqliteStore(path);
  const [start_s, count] = [1_451_606_400, 10 * 365 * 144];
  for (let i = 0; i < count; i++) {
    store.append({ ...silentReading, time_s: start_s + i * 600, level_m: (1500 + (i % 977)) / 10_000 });
  }
  store.flush();
  const level = (years: number) => () =>
    store.level({ from_s: start_s + (10 - years) * 365 * day_s, to_s: start_s + 3650 * day_s }, points);
  for (const years of [1, 10]) {
    const [middle, worst] = [0.5, 0.99].map((share) => quantile_ms(level(years), 51, share).toFixed(1));
    say(
      `level over ${years} of ten years: ${level(years)().time_s.length} points`,
      `${middle} ms, 99 in 100 within ${worst} ms`,
    );
  }
  store.close();
  say("open ten years", `${once_ms(() => openSqliteStore(path).close()).toFixed(1)} ms, and close them`);
}

function sayPeers(month: Month, path: string): void {
  const { perReading_B, day_ms, span_ms } = rowPerReading(path, month);
  say("a row for each reading: size", bytes(perReading_B));
  say("a row for each reading: last day, and all of it by groups", `${day_ms.toFixed(1)} ms, ${span_ms.toFixed(0)} ms`);
}

function sayWear(): void {
  const wear = measureWear(7);
  if (wear === null) say("written to the card", "not measured: a disk of its own needs root and a loop device");
  else {
    const share = wear.day_B / (1440 * 4096);
    say(
      `written to the card, all in, at ${Math.round(wear.cycles / 2 / 7)} cycles a day`,
      `${(wear.day_B / 1e6).toFixed(2)} MB a day: ${share.toFixed(2)} × a page a minute`,
    );
  }
}
