// A database whose power went in the middle of a write: what it acknowledges afterwards must outlive the next start.

import { execFileSync } from "node:child_process";
import { appendFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Influxd, startInfluxd } from "./influxd.ts";

const script = join(import.meta.dirname, "../../deploy/central/mend-log.js");

let server: Influxd;
beforeEach(async () => {
  server = await startInfluxd();
  await server.query("CREATE DATABASE basins");
});
afterEach(() => server.dispose());

const put = async (value: number) => {
  const body = `level,basin=elm v=${value}i ${value}`;
  expect((await fetch(`${server.url}/write?db=basins`, { method: "POST", body })).status).toBe(204);
};
const there = async () => {
  const { results } = await server.query("SELECT v FROM level", "basins");
  return (results[0]?.series?.[0]?.values ?? []).map((row) => row[1]);
};
const logs = () => {
  const folder = join(server.folder, "wal");
  const names = readdirSync(folder, { recursive: true, encoding: "utf8" });
  return names.filter((name) => name.endsWith(".wal")).map((name) => join(folder, name));
};
/** As under the service, which may not make memory executable. */
const mend = () =>
  execFileSync(process.execPath, ["--jitless", script, join(server.folder, "wal")], { encoding: "utf8" });

/** The head of an entry of 1024 bytes and some of them; or room that was never written. */
const tornEnds = [Buffer.from([1, 0, 0, 4, 0, 1, 2, 3]), Buffer.alloc(700), Buffer.from([1, 0])];

describe("mend-log", () => {
  it.each(tornEnds)("cuts a torn end off, and nothing is lost afterwards (%#)", async (torn) => {
    await put(1);
    await server.kill();
    for (const log of logs()) appendFileSync(log, torn);
    expect(mend()).toContain(`cut off a torn end of ${torn.length} B`);
    await server.start();
    await put(2);
    await server.kill();
    expect(mend()).toBe("");
    await server.start();
    expect(await there()).toEqual([1, 2]);
  });

  it("leaves a whole log as it is, and does without one", async () => {
    for (let value = 1; value <= 20; value++) await put(value);
    await server.kill();
    const sizes = logs().map((log) => statSync(log).size);
    expect(mend()).toBe("");
    expect(logs().map((log) => statSync(log).size)).toEqual(sizes);
    expect(execFileSync(process.execPath, ["--jitless", script, "/nowhere/at/all"], { encoding: "utf8" })).toBe("");
    await server.start();
    expect(await there()).toHaveLength(20);
  });
});
