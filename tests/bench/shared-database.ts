// What the record costs on the shared database: bytes a reading once it has settled, against the same levels as floats,
// and how long the page's questions take there, for a month of single readings and ten years of sums.
// Run: node tests/bench/shared-database.ts [DAYS]      (at one reading a second; 30 by default)

import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { influxRecord } from "../../daemon/stores/influx/influx-record.ts";
import {
  cyclePoint,
  inflowPoint,
  joinedInflowPoint,
  levelSumPoint,
  levelSums,
  type Point,
  readingEncoder,
} from "../../daemon/stores/influx/points.ts";
import type { RecordReader } from "../../daemon/stores/record-reader.ts";
import { cycleAt } from "../contracts/record-suite.ts";
import { linkTo, makeDatabase, writeTo } from "../real/influx-writer.ts";
import { type Influxd, startInfluxd } from "../real/influxd.ts";
import { playMonth } from "./month/month.ts";
import { numberGiven } from "./number-given.ts";

const days = numberGiven(0, "DAYS", 30);
const day_s = 86_400;
const begin_s = 1_735_689_600;
const say = (what: string, figure: string) => console.log(`${what.padEnd(58)} ${figure}`);
const quick = ['cache-snapshot-write-cold-duration = "1s"', 'compact-full-write-cold-duration = "3s"'];

const server = await startInfluxd({ lines: { data: quick } });
try {
  await makeDatabase(server);
  const readings = monthOf(days);
  const level = await sizeOf(server, () => tell(readings));
  say(`${readings.length} readings of level and pump`, perOne(level, readings.length));
  const floats = await sizeOf(server, () => tellFloats(readings));
  say("the same with the level as a float, in metres", perOne(floats, readings.length));
  const cycles = Array.from({ length: 20_000 }, (_, i) => cyclePoint("others", unlike(i)));
  say("20,000 cycles", perOne(await sizeOf(server, () => writeTo(server, cycles)), cycles.length));
  const single = Array.from({ length: 50_000 }, (_, i) => inflowPoint("others", stretchAt(i, 60)));
  say("50,000 stretches of inflow", perOne(await sizeOf(server, () => writeTo(server, single)), single.length));
  const years = await sizeOf(server, tellYears);
  say("ten years of sums and joined inflow", `${(years / 1e6).toFixed(1)} MB`);

  const link = await linkTo(server);
  const month = influxRecord(link, "month");
  const end_s = readings.at(-1)?.time_s ?? begin_s;
  for (const [name, length_s] of Object.entries({
    minute: 60,
    hour: 3600,
    day: day_s,
    week: 7 * day_s,
    month: 30 * day_s,
  })) {
    await time(`level of the last ${name} at 2,000 points`, () =>
      month.level({ from_s: end_s - length_s, to_s: end_s }, 2000),
    );
  }
  const ten = influxRecord(link, "years");
  await askYears(ten);
} finally {
  await server.dispose();
}

async function askYears(ten: RecordReader): Promise<void> {
  const span = await ten.span();
  const to_s = span?.to_s ?? 0;
  await time("span of ten years", () => ten.span());
  for (const years of [1, 3, 10]) {
    const from_s = to_s - years * 365 * day_s;
    await time(`level of ${years} years at 2,000 points`, () => ten.level({ from_s, to_s }, 2000));
    await time(`inflow of ${years} years at 2,000 points`, () => ten.inflow({ from_s, to_s }, 2000));
  }
  await time("inflow of 10 years at 20,000 points", () => ten.inflow({ from_s: 0, to_s }, 20_000));
  await time("the last 1000 cycles", () => ten.cycles({ from_s: 0, to_s }, 1000));
}

/** How long it takes, and of that the processor's time there and here, which other load changes little. */
async function time(what: string, ask: () => Promise<unknown>): Promise<void> {
  const taken: number[] = [];
  await ask();
  const [there, here] = [cpuOfServer_ms(), process.cpuUsage()];
  for (let i = 0; i < 9; i++) {
    const from = performance.now();
    await ask();
    taken.push(performance.now() - from);
  }
  const { user, system } = process.cpuUsage(here);
  const cpu = [cpuOfServer_ms() - there, (user + system) / 1000].map((ms) => (ms / 9).toFixed(0));
  say(what, `${Math.min(...taken).toFixed(0)} ms at least; processor ${cpu[0]} ms there, ${cpu[1]} ms here`);
}

function cpuOfServer_ms(): number {
  const { stdout } = spawnSync("pgrep", ["-P", String(process.pid), "influxd"], { encoding: "utf8" });
  const fields = readFileSync(`/proc/${stdout.trim()}/stat`, "utf8").split(") ")[1]?.split(" ") ?? [];
  return (Number(fields[11]) + Number(fields[12])) * 10; // user and system, in hundredths of a second
}

function monthOf(length_days: number): Reading[] {
  const { rows, level_mm, pumpOn } = playMonth(length_days);
  return Array.from({ length: rows }, (_, i) => ({
    ...silentReading,
    time_s: begin_s + i,
    level_m: Math.round((level_mm[i] ?? 0) * 10) / 10_000,
    pumpOn: pumpOn[i] === 1,
  }));
}

async function tell(readings: readonly Reading[]): Promise<void> {
  const encoder = readingEncoder("month");
  const sums = levelSums();
  for (let i = 0; i < readings.length; i += 10_000) {
    const points: Point[] = [];
    for (const reading of readings.slice(i, i + 10_000)) {
      points.push(encoder.point(reading));
      for (const sum of sums.add(reading)) points.push(levelSumPoint("month", sum));
    }
    await writeTo(server, points);
  }
}

async function tellFloats(readings: readonly Reading[]): Promise<void> {
  for (let i = 0; i < readings.length; i += 10_000) {
    const lines = readings
      .slice(i, i + 10_000)
      .map(({ time_s, level_m, pumpOn }) => `floats,basin=f level=${level_m},pumpOn=${pumpOn} ${time_s}000000000`);
    const answer = await fetch(`${server.url}/write?db=undercroft&rp=raw`, { method: "POST", body: lines.join("\n") });
    if (answer.status !== 204) throw new Error(await answer.text());
  }
}

/** As a basin of ten years has them: of single readings only the last. */
async function tellYears(): Promise<void> {
  const parts = 10 * 365 * 144;
  const first_s = begin_s - 10 * 365 * day_s;
  for (let i = 0; i < parts; i += 10_000) {
    const points: Point[] = [];
    for (let part = i; part < Math.min(parts, i + 10_000); part++) {
      const from_s = first_s + part * 600;
      const minimum_nm = 1e5 * (1500 + ((part * 7) % 31));
      const sum = { levels: 600, minimum_nm, maximum_nm: minimum_nm + 1e5 * (2000 + ((part * 13) % 29)) };
      const sum_nm = 600 * (minimum_nm + 1e8) + 1e5 * ((part * 7919) % 60_000);
      points.push(levelSumPoint("years", { from_s, length_s: 600, ...sum, sum_nm }));
      if (part % 144 === 0) {
        points.push(levelSumPoint("years", { from_s, length_s: day_s, ...sum, levels: 86_400, sum_nm: sum_nm * 144 }));
      }
      points.push(
        joinedInflowPoint("years", { ...stretchAt(part, 600), from_s: from_s + 7.25, to_s: from_s + 607.25 }),
      );
      if (part % 14 === 0) points.push(cyclePoint("years", { ...unlike(part), startedAt_s: from_s }));
    }
    await writeTo(server, points);
  }
  await writeTo(server, [readingEncoder("years").point({ ...silentReading, time_s: begin_s, level_m: 0.2 })]);
}

function noise(i: number): number {
  return 1 + 0.1 * Math.sin(i * 12.9898) + 0.01 * Math.sin(i * 78.233);
}

function unlike(i: number) {
  const cycle = cycleAt(begin_s + i * 600 + noise(i));
  return {
    ...cycle,
    run_s: cycle.run_s * noise(i),
    stoppedAt_s: cycle.startedAt_s + cycle.run_s * noise(i),
    rest_s: 431 * noise(i + 1),
    inflow: cycle.inflow && { ...cycle.inflow, flow_m3s: 7e-5 * noise(i), uFlow_m3s: 4e-7 * noise(i + 2) },
    pumpRate: cycle.pumpRate && { ...cycle.pumpRate, flow_m3s: 1.5e-3 * noise(i + 3), uFlow_m3s: 2e-5 * noise(i + 4) },
    drainBack_m3: 4e-4 * noise(i + 5),
  };
}

function stretchAt(i: number, length_s: number) {
  const from_s = begin_s + i * length_s;
  return { from_s, to_s: from_s + length_s, inflow_m3s: 7e-5 * noise(i), uInflow_m3s: 4e-7 * noise(i + 1) };
}

/** Bytes that the data folder has grown by, once the server has done packing. */
async function sizeOf({ folder }: Influxd, write: () => Promise<void>): Promise<number> {
  const before = size_B(folder);
  await write();
  for (let last = -1, calm = 0; calm < 12; ) {
    await sleep(1000);
    const now = size_B(folder);
    calm = now === last ? calm + 1 : 0;
    last = now;
  }
  return size_B(folder) - before;
}

/** Of the files with points: beside them a database has some 34 MB of its own, however much is in it. */
function size_B(folder: string): number {
  const files = readdirSync(`${folder}/data`, { recursive: true, encoding: "utf8" });
  return files
    .filter((file) => file.endsWith(".tsm"))
    .reduce((sum, file) => sum + (statSync(join(folder, "data", file), { throwIfNoEntry: false })?.size ?? 0), 0);
}

function perOne(size: number, count: number): string {
  return `${(size / count).toFixed(3)} B each, ${(size / 1e6).toFixed(2)} MB`;
}
