// The whole daemon on a simulated basin, killed at any moment: no finished cycle is lost or doubled, and of the
// readings at most those of the last second.

import { execFile } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { promisify } from "node:util";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { CyclesAnswer, LiveState } from "../../daemon/server/api-types.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { startChild } from "./children.ts";

const program = join(import.meta.dirname, "../../daemon/undercroft.js");
const demoHouse = join(import.meta.dirname, "../../daemon/sources/simulated/demo-house.yaml");
const always = { from_s: 0, to_s: 1e12 };
const speed = 3000;
const kills = 6;

let folder: string;
let site: string;
let storePath: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-daemon-"));
  site = join(folder, "site.yaml");
  storePath = join(folder, "store.db");
  const house = readFileSync(demoHouse, "utf8").replace(/speed: \d+/, `speed: ${speed}`);
  writeFileSync(site, `${house}\nstore: { path: store.db }\nserver: { port: 0 }\n`);
});
afterEach(() => rmSync(folder, { recursive: true }));

async function startDaemon() {
  const daemon = startChild(program, "run", "--site", site);
  const [url] = /http:\S+/.exec(await daemon.heard("Open http")) ?? [];
  const ask = async <T>(what: string): Promise<T> => {
    const answer = await fetch(new URL(what, url));
    if (!answer.ok) throw new Error(`${what}: status ${answer.status}: ${await answer.text()}`);
    return (await answer.json()) as T;
  };
  return { daemon, ask };
}

/** Lets the daemon live for a while and kills it; what it had shown before is what it must have kept. */
async function liveAndDie(life_ms: number) {
  const { daemon, ask } = await startDaemon();
  const end_ms = performance.now() + life_ms;
  let cycles: readonly Cycle[] = [];
  let first_s: number | null = null;
  let time_s: number | null = null;
  do {
    time_s = (await ask<LiveState>("/api/state")).situation.time_s;
    first_s ??= time_s;
    cycles = (await ask<CyclesAnswer>("/api/cycles?from_s=0&to_s=9999999999&limit=1000")).cycles;
    await sleep(Math.random() * 30);
  } while (performance.now() < end_ms);
  await daemon.kill();
  return { cycles, first_s, time_s };
}

/** What the record holds, oldest first; none over another. */
function keptCycles(): Cycle[] {
  const store = openSqliteStore(storePath);
  const cycles = store.cycles(always, 1e6).reverse();
  store.close();
  for (const [i, cycle] of cycles.entries()) {
    expect(cycle.startedAt_s).toBeGreaterThanOrEqual(cycles[i - 1]?.stoppedAt_s ?? 0);
  }
  return cycles;
}

/** Time of the last reading, 0 when there is none; they must stand in order. */
function keptUntil_s(): number {
  const store = openSqliteStore(storePath);
  let last_s = 0;
  for (const { time_s } of store.readings()) {
    if (time_s < last_s) throw new Error(`a reading of ${time_s} stands after one of ${last_s}`);
    last_s = time_s;
  }
  store.close();
  return last_s;
}

describe("a daemon that is killed at any moment", () => {
  it("has every cycle it had shown, once, and all readings but those of the last second", async () => {
    const shown = new Set<number>();
    for (let kill = 0; kill < kills; kill++) {
      const { cycles, first_s, time_s } = await liveAndDie(Math.random() * 1200);
      for (const cycle of cycles) shown.add(cycle.startedAt_s);
      const kept = new Set(keptCycles().map((cycle) => cycle.startedAt_s));
      expect([...shown].filter((startedAt_s) => !kept.has(startedAt_s))).toEqual([]);
      // Of a life that was over within its first second there may be nothing at all.
      expect((time_s ?? 0) - Math.max(keptUntil_s(), first_s ?? 0)).toBeLessThanOrEqual(speed);
    }
    expect(shown.size).toBeGreaterThan(10); // else nothing has been shown

    // Once more, in peace: it carries on, and what it derives by then is what the readings alone give.
    const { daemon, ask } = await startDaemon();
    expect((await ask<LiveState>("/api/state")).store.state).toBe("writing");
    await daemon.kill("SIGTERM");
    const before = keptCycles();
    const { stdout } = await promisify(execFile)(process.execPath, [program, "rebuild", "--site", site]);
    expect(stdout).toContain(`cycles: ${before.length}, all as before`);
    expect(stdout.match(/all as before/g)).toHaveLength(3); // inflow and findings, too
    expect(keptCycles()).toEqual(before);
  }, 120_000);

  it("lets its record to nobody else while it lives", async () => {
    const { daemon } = await startDaemon();
    const second = promisify(execFile)(process.execPath, [program, "run", "--site", site]);
    await expect(second).rejects.toMatchObject({
      code: 2,
      stderr: `${storePath} is in use by another undercroft (process ${daemon.pid}); stop that one, or give this one a store of its own\n`,
    });
    await daemon.kill();
  });
});
