// How much of a board the daemon takes: time from the start of the process to the page and to the first reading, and
// resident memory after the start and after a simulated month. Targets: 0.8 s and 120 MB.
//
//   NODE_COMPILE_CACHE=/tmp/cache node tests/bench/footprint.ts [--days 30] [--speed 10000] [--flags=--no-opt]

import { type ChildProcess, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import type { LiveState } from "../../daemon/server/api-types.ts";

const { values } = parseArgs({
  options: {
    days: { type: "string", default: "30" },
    speed: { type: "string", default: "10000" },
    starts: { type: "string", default: "5" },
    flags: { type: "string", default: "" },
  },
});
const program = fileURLToPath(new URL("../../daemon/undercroft.js", import.meta.url));
const day_s = 86_400;

interface Started {
  readonly child: ChildProcess;
  readonly url: string;
  readonly began_ms: number;
}

const starts: { listening_s: number; reading_s: number; rss_mb: number }[] = [];
for (let i = 0; i < Number(values.starts); i++) starts.push(await measureStart());
console.log(
  `to the page:          ${median(starts.map((s) => s.listening_s)).toFixed(3)} s (median of ${starts.length})`,
);
console.log(`to the first reading: ${median(starts.map((s) => s.reading_s)).toFixed(3)} s`);
console.log(`resident after 2 s:   ${median(starts.map((s) => s.rss_mb)).toFixed(1)} MB`);
await measureMonth(Number(values.days));

async function measureStart() {
  const started = await start("60");
  const listening_s = (performance.now() - started.began_ms) / 1000;
  while (((await state(started)).sources[0]?.accepted ?? 0) === 0) await sleep(5);
  const reading_s = (performance.now() - started.began_ms) / 1000;
  await sleep(2000);
  const rss_mb = memory_mb(started, "VmRSS");
  await stop(started);
  return { listening_s, reading_s, rss_mb };
}

async function measureMonth(days: number): Promise<void> {
  const started = await start(values.speed);
  for (let passed_d = 0, said_d = 0; passed_d < days; ) {
    await sleep(1000);
    const { span } = await state(started);
    passed_d = span === null ? 0 : (span.to_s - span.from_s) / day_s;
    if (passed_d < said_d + days / 6 && passed_d < days) continue;
    said_d = passed_d;
    const elapsed_s = (performance.now() - started.began_ms) / 1000;
    const [now_mb, most_mb] = [memory_mb(started, "VmRSS"), memory_mb(started, "VmHWM")];
    console.log(
      `after ${passed_d.toFixed(1)} days (${elapsed_s.toFixed(0)} s): ` +
        `resident ${now_mb.toFixed(1)} MB, at most ${most_mb.toFixed(1)} MB`,
    );
  }
  await stop(started);
}

async function start(speed: string): Promise<Started> {
  const flags = values.flags.split(" ").filter((flag) => flag !== "");
  const began_ms = performance.now();
  const child = spawn(process.execPath, [...flags, program, "demo", "--speed", speed, "--port", "0"], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  for await (const line of createInterface({ input: child.stdout })) {
    const url = /http:\S+/.exec(line)?.[0];
    if (url !== undefined) {
      child.stdout.resume();
      return { child, url, began_ms };
    }
  }
  throw new Error("the daemon ended before it said where it listens");
}

async function state({ url }: Started): Promise<LiveState> {
  const answer = await fetch(`${url}api/state`);
  const found: LiveState = await answer.json();
  return found;
}

async function stop({ child }: Started): Promise<void> {
  child.kill("SIGTERM");
  await new Promise((resolve) => child.once("exit", resolve));
}

function memory_mb({ child }: Started, key: "VmRSS" | "VmHWM"): number {
  const status = readFileSync(`/proc/${child.pid}/status`, "utf8");
  return (Number(new RegExp(`${key}:\\s+(\\d+)`).exec(status)?.[1]) * 1024) / 1e6;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}
