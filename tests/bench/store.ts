// What the store costs: ingest, bytes, and how long a chart waits for its level. Prints milliseconds and ratios.
// Run: node tests/bench/store.ts [days]      (at 1 Hz; default 365: a good minute, and 1 GB in the temporary folder)

import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";

const days = Number(process.argv[2] ?? 365);
const count = days * 86_400;
const start_s = 1_735_689_600; // 2025-01-01
const folder = mkdtempSync(join(tmpdir(), "undercroft-bench-"));
const path = join(folder, "store.db");

function readingAt(i: number): Reading {
  const fill = (i % 589) / 589; // a cycle of about ten minutes
  const noise = ((i * 2_654_435_761) % 4096) / 4096 - 0.5;
  const level_m = Math.round((0.15 + 0.2 * fill + 0.005 * noise) * 1e4) / 1e4;
  return { ...silentReading, time_s: start_s + i, level_m, pumpOn: fill < 0.03 };
}

function milliseconds(work: () => unknown): number {
  const begin = performance.now();
  work();
  return performance.now() - begin;
}

/** Median of seven, the first two left out. */
function typical(work: () => unknown): number {
  const times = Array.from({ length: 9 }, () => milliseconds(work)).slice(2);
  return times.sort((a, b) => a - b)[3] ?? Number.NaN;
}

function sumOf(values: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] ?? 0;
  return sum;
}

/** Peak and present resident memory of this process. */
function memory_mb(): string {
  const status = readFileSync("/proc/self/status", "utf8");
  const of = (key: string) => Math.round(Number(new RegExp(`${key}:\\s+(\\d+)`).exec(status)?.[1]) / 1024);
  return `${of("VmRSS")} MB, peak ${of("VmHWM")} MB`;
}

const say = (what: string, figure: string) => console.log(`${what.padEnd(58)} ${figure}`);

try {
  let store = openSqliteStore(path);
  const made_ms = milliseconds(() => {
    for (let i = 0; i < count; i++) readingAt(i);
  });
  const ingest_ms = milliseconds(() => {
    for (let i = 0; i < count; i++) store.append(readingAt(i));
    store.flush();
  });
  say(
    `ingest of ${count} readings`,
    `${Math.round(count / (ingest_ms / 1000))}/s, ${(ingest_ms / made_ms).toFixed(1)} × making them`,
  );
  say("resident memory after it", memory_mb());
  store.close();
  say("on disk, roll-ups included", `${(statSync(path).size / count).toFixed(1)} bytes a reading`);

  say("open", `${milliseconds(() => (store = openSqliteStore(path))).toFixed(1)} ms`);
  const end_s = start_s + count;
  const level = (from_s: number) => () => store.level({ from_s, to_s: end_s }, 2000);
  const array = Float64Array.from({ length: 2_592_000 }, (_, i) => i);
  const pass_ms = typical(() => sumOf(array));
  say("reference: one pass over a month's levels in memory", `${pass_ms.toFixed(2)} ms`);
  for (const [name, span_s] of [
    ["10 minutes", 600],
    ["an hour", 3600],
    ["16 hours (from the readings)", 57_600],
    ["a day", 86_400],
    ["30 days", 30 * 86_400],
    ["41 days (the most minutes)", 41 * 86_400],
    ["a year", 365 * 86_400],
  ] as const) {
    if (span_s > count) continue;
    const ms = typical(level(end_s - span_s));
    const { time_s } = level(end_s - span_s)();
    say(
      `level over ${name} in ${time_s.length} points`,
      `${ms.toFixed(1)} ms, ${(ms / pass_ms).toFixed(1)} × the pass`,
    );
  }

  let streamed = 0;
  const stream_ms = milliseconds(() => {
    for (const _ of store.readings()) streamed++;
  });
  say("reading it all back", `${Math.round(streamed / (stream_ms / 1000))}/s`);
  say(
    "rebuild, its analysis left out",
    `${Math.round(count / (milliseconds(() => store.rebuild(() => {})) / 1000))}/s`,
  );

  const inflow_ms = milliseconds(() => {
    for (let i = 0; i < count; i += 15) {
      store.saveInflow({ from_s: start_s + i, to_s: start_s + i + 15, inflow_m3s: 7e-5, uInflow_m3s: 1e-6 });
    }
    store.flush();
  });
  say("stretches of inflow, one every 15 s", `${Math.round(count / 15 / (inflow_ms / 1000))}/s`);
  for (const [name, span_s] of [
    ["a day", 86_400],
    ["30 days", 30 * 86_400],
    ["a year", 365 * 86_400],
  ] as const) {
    if (span_s > count) continue;
    const inflow = () => store.inflow({ from_s: end_s - span_s, to_s: end_s }, 1000);
    const ms = typical(inflow);
    say(
      `inflow over ${name} in ${inflow().length} points`,
      `${ms.toFixed(1)} ms, ${(ms / pass_ms).toFixed(1)} × the pass`,
    );
  }

  const cycle = {
    rest_s: 430,
    startLevel_m: 0.35,
    stopLevel_m: 0.15,
    inflow: null,
    pumpRate: null,
    drainBack_m3: null,
  };
  const save_ms = milliseconds(() => {
    for (let i = 0; i < 1000; i++) {
      store.append(readingAt(count + i));
      store.saveCycle({ startedAt_s: start_s + i, stoppedAt_s: start_s + i + 18, run_s: 18, ...cycle });
    }
  });
  say("a cycle and a reading, on the card", `${(save_ms / 1000).toFixed(2)} ms`);
  say("resident memory at the end", memory_mb());
  store.close();
} finally {
  rmSync(folder, { recursive: true });
}
