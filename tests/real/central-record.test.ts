// A board, mosquitto, influxd and the central view, each as it runs: what the board says of its record is what the central
// view says of it.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { setUp } from "./forwarded.ts";
import { type Influxd, startInfluxd } from "./influxd.ts";
import { type Mosquitto, startMosquitto } from "./mosquitto.ts";

const root = join(import.meta.dirname, "../..");
const processes: ChildProcess[] = [];
let folder: string;
let broker: Mosquitto;
let database: Influxd;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-central-"));
  broker = await startMosquitto();
  database = await startInfluxd({ lines: { http: ["max-row-limit = 0"] } });
  await setUp(database);
});
afterAll(async () => {
  for (const started of processes) started.kill("SIGTERM");
  await broker?.dispose();
  await database?.dispose();
  rmSync(folder, { recursive: true, force: true });
});

/** @returns the address that it prints */
async function start(...args: readonly string[]): Promise<string> {
  const started = spawn(process.execPath, ["daemon/undercroft.js", ...args], {
    cwd: root,
    stdio: ["ignore", "pipe", "inherit"],
  });
  processes.push(started);
  for await (const line of createInterface({ input: started.stdout })) {
    const found = /^Open (http:\/\/[\d.]+:\d+\/)/.exec(line)?.[1];
    if (found !== undefined) {
      started.stdout.resume();
      return found;
    }
  }
  throw new Error(`${args.join(" ")}: printed no address`);
}

it("tells of a board's cycles, levels and findings what the board itself tells", async () => {
  const house = readFileSync(join(root, "daemon/sources/simulated/demo-house.yaml"), "utf8");
  const board = join(folder, "site.yaml");
  writeFileSync(
    board,
    `${house.replace(/speed: 60\b/, "speed: 1000").replace(/play_for: 60 d/, "play_for: 3 h")}
server: { port: 0 }
publish: { mqtt: { url: "${broker.url}", topic_prefix: undercroft/demo-house } }
forward: { url: "${database.url}", basin: demo-house, every: 1 s }
`,
  );
  const central = join(folder, "central.yaml");
  writeFileSync(
    central,
    `broker: { url: "${broker.url}" }
database: { url: "${database.url}" }
basins: [{ name: demo-house, title: Demo house }]
server: { port: 0 }
`,
  );
  const boardUrl = await start("run", "--site", board);
  const centralUrl = `${await start("run", "--central", central)}basins/demo-house/`;

  const get = async (url: string, path: string) => (await fetch(`${url}api/${path}`)).json();
  const cyclesOf = async (url: string): Promise<Cycle[]> => (await get(url, "cycles?from_s=0")).cycles ?? [];
  await expect
    .poll(async () => (await cyclesOf(centralUrl)).length, { timeout: 60_000, interval: 500 })
    .toBeGreaterThan(4);
  // The three hours have been played, and all of it has been sent.
  const isSent = async () => JSON.stringify(await cyclesOf(centralUrl)) === JSON.stringify(await cyclesOf(boardUrl));
  await expect.poll(isSent, { timeout: 60_000, interval: 1000 }).toBe(true);
  for (const path of ["findings?from_s=0", "site"]) {
    const { overview, ...told } = await get(centralUrl, path);
    expect(told).toEqual(await get(boardUrl, path));
  }
  expect((await get(centralUrl, "level?from_s=0&points=50")).time_s.length).toBeGreaterThan(10);
}, 150_000);
