// What a basin's record takes in the database, once that has packed it: node tests/bench/central/disk.ts [--days 56]
//
// Readings every 5 s as a board sends them (noise 1.5 mm, steps of 0.1 mm, float and high float beside the level, times to
// the millisecond), with their sums by ten minutes and days, cycles and inflow. Bytes on disk, and for a year.

import { execFileSync } from "node:child_process";
import { setTimeout as sleep } from "node:timers/promises";
import { parseArgs } from "node:util";
import { silentReading } from "../../../analysis/readings/reading.ts";
import { databaseClient } from "../../../daemon/forward/database-client.ts";
import { writePoints } from "../../../daemon/forward/write-points.ts";
import {
  cyclePoint,
  inflowPoint,
  levelSumPoint,
  levelSums,
  type Point,
  readingEncoder,
} from "../../../daemon/stores/influx/points.ts";
import { setUpDatabase } from "../../../daemon/stores/influx/set-up-database.ts";
import { startInfluxd } from "../../real/influxd.ts";
import { trueMessages } from "./true-messages.ts";

const { values } = parseArgs({
  options: { days: { type: "string", default: "56" }, jitter: { type: "string", default: "3" } },
});
const days = Number(values.days);
const jitter_ms = Number(values.jitter);
const day_s = 86_400;
const every_s = 5;
const cycle_s = 600;
/** From the beginning of a part of the database's, so that whole parts are filled and packed. */
const part_s = 28 * day_s;
const begin_s = Math.floor(Date.now() / 1000 / part_s - days / 28 - 0.5) * part_s;

const { cycle: sample } = await trueMessages();
const quick = ['cache-snapshot-write-cold-duration = "5s"', 'compact-full-write-cold-duration = "5s"'];
const server = await startInfluxd({ lines: { data: quick } });
const connection = { url: server.url, database: "undercroft", timeout: 60 };
await setUpDatabase(connection, "/", { keepReadings_s: 400 * day_s, users: [] });
const client = databaseClient(connection, "/");
const count = await writeAll();
await untilPacked();
const sizes = Object.fromEntries(
  ["raw", "forever"].map((policy) => [policy, bytesOf(`${server.folder}/data/undercroft/${policy}`)]),
);
client.close();
await server.dispose();
const year = 365 / days;
console.log(`${days} days, ${count} readings, times to ${jitter_ms} ms`);
console.log(
  `  raw     ${sizes.raw} bytes, ${((sizes.raw ?? 0) / count).toFixed(2)} a reading (single inflows included)`,
);
console.log(`  forever ${sizes.forever} bytes, ${(((sizes.forever ?? 0) * year) / 1e6).toFixed(1)} MB a year`);
console.log(`  raw     ${(((sizes.raw ?? 0) * year) / 1e6).toFixed(1)} MB a year`);

async function writeAll(): Promise<number> {
  const encoder = readingEncoder("elm-12");
  const sums = levelSums();
  let waiting: Point[] = [];
  let readings = 0;
  let noise = 1;
  const random = () => {
    noise = (noise * 48_271) % 2_147_483_647;
    return noise / 2_147_483_647;
  };
  const gauss = () => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random());
  for (let t = 0; t < days * day_s; t += every_s) {
    const phase = t % cycle_s;
    const level_m = 0.15 + (phase < 20 ? 0.2 * (1 - phase / 20) : (0.2 * (phase - 20)) / (cycle_s - 20));
    const read_m = Math.round((level_m + 0.0015 * gauss()) * 1e4) / 1e4;
    const time_s = begin_s + t + Math.round(random() * jitter_ms) / 1000;
    const pumpOn = phase < 20;
    const reading = { ...silentReading, time_s, level_m: read_m, pumpOn, floatOn: pumpOn, highFloat: false };
    waiting.push(encoder.point(reading), ...sums.add(reading).map((sum) => levelSumPoint("elm-12", sum)));
    readings++;
    if (phase === 0) {
      const startedAt_s = begin_s + t;
      waiting.push(cyclePoint("elm-12", { ...sample, startedAt_s, stoppedAt_s: startedAt_s + 20, run_s: 20 }));
      const rest = { from_s: startedAt_s + 20, to_s: startedAt_s + cycle_s };
      waiting.push(inflowPoint("elm-12", { ...rest, inflow_m3s: 7e-5 * (1 + 0.1 * random()), uInflow_m3s: 1e-6 }));
    }
    if (waiting.length < 5000) continue;
    await send(waiting);
    waiting = [];
  }
  await send(waiting);
  return readings;
}

async function send(points: readonly Point[]): Promise<void> {
  const { tooOld, unfit, reason } = await writePoints(client, connection, points, () => {});
  if (tooOld + unfit > 0) throw new Error(`${tooOld} points too old, ${unfit} unfit: ${reason}`);
}

/** No file has been made, and what is written ahead is empty, for a while. */
async function untilPacked(): Promise<void> {
  let before = -1;
  for (let same = 0; same < 6; ) {
    await sleep(5000);
    const now = bytesOf(`${server.folder}/data/undercroft`) + bytesOf(`${server.folder}/wal`);
    same = now === before ? same + 1 : 0;
    before = now;
  }
}

function bytesOf(folder: string): number {
  return Number(execFileSync("du", ["-sb", folder], { encoding: "utf8" }).split("\t")[0]);
}
