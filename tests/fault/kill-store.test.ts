// A process that writes a store is killed at any moment, again and again: what was acknowledged is there.

import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { startChild } from "./children.ts";

const always = { from_s: 0, to_s: 1e12 };

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-kill-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

function integrity(path: string): unknown {
  const database = new DatabaseSync(path);
  const { integrity_check } = database.prepare("PRAGMA integrity_check").get() ?? {};
  database.close();
  return integrity_check;
}

/** Figures after a word: `numbers(["cycle 3", "cycle 9"], "cycle")` is `[[3], [9]]`. */
function numbers(lines: readonly string[], word: string): number[][] {
  return lines.filter((line) => line.startsWith(`${word} `)).map((line) => line.split(" ").slice(1).map(Number));
}

/** One life of the child, cut short; returns the cycles it had acknowledged. */
async function liveAndDie(path: string, life_ms: number, cyclesPerReading = 0.002): Promise<number[]> {
  const child = startChild("append-until-killed.ts", path, String(cyclesPerReading));
  await child.heard("open");
  await sleep(life_ms);
  await child.kill();

  const handedOver = numbers(child.lines, "reading");
  const acknowledged = numbers(child.lines, "cycle").map(([n]) => n ?? Number.NaN);
  const [lastNumber, lastTime_ms] = handedOver.at(-1) ?? [];

  const store = openSqliteStore(path); // its lock has died with it
  let kept = 0;
  for (const reading of store.readings()) {
    if (reading.level_m !== kept || reading.pumpOn !== (kept % 2 === 0)) {
      throw new Error(`reading ${reading.level_m} stands in place ${kept}`);
    }
    kept++;
  }
  expect(store.readingCount()).toBe(kept);
  expect(store.cycles(always, 1e6).length).toBe(new Set(store.cycles(always, 1e6).map((c) => c.startedAt_s)).size);
  for (const cycle of store.cycles(always, 1e6)) expect(cycle.startedAt_s).toBeLessThan(kept);
  expect(store.checkpoint()?.readingsSeen ?? 0).toBeLessThanOrEqual(kept);

  if (lastNumber !== undefined && lastTime_ms !== undefined) {
    const firstLost_ms = handedOver.find(([n = 0]) => n >= kept)?.[1] ?? lastTime_ms;
    expect(lastTime_ms - firstLost_ms).toBeLessThanOrEqual(1000);
    expect(kept).toBeLessThanOrEqual(lastNumber + 2); // one more may be in the store than was said
  }
  store.close();
  expect(integrity(path)).toBe("ok");
  return acknowledged;
}

describe("a store whose process is killed at any moment", () => {
  it("keeps every acknowledged cycle and all readings in order but those of the last second, 20 times over", async () => {
    const killTenTimes = async (path: string) => {
      const acknowledged: number[] = [];
      for (let death = 0; death < 10; death++) {
        acknowledged.push(...(await liveAndDie(path, Math.random() * 1000)));
        const store = openSqliteStore(path);
        const kept = new Set(store.cycles(always, 1e6).map((cycle) => cycle.startedAt_s));
        expect(acknowledged.filter((n) => !kept.has(n))).toEqual([]);
        store.close();
      }
      const store = openSqliteStore(path);
      const level = store.level(always, 20);
      store.rebuild(() => {}); // the roll-ups, too, are what the readings give
      expect(store.level(always, 20)).toEqual(level);
      store.close();
      return acknowledged.length;
    };
    const [a = 0, b = 0] = await Promise.all(["a.db", "b.db"].map((name) => killTenTimes(join(folder, name))));
    expect(a + b).toBeGreaterThan(0); // else nothing has been shown
  }, 60_000);

  it("keeps all but the last second also of readings from which nothing was derived", async () => {
    const lives = [1500, 1900].map((life_ms) => liveAndDie(join(folder, `${life_ms}.db`), life_ms, 0));
    await Promise.all(lives);
  });

  it("keeps the old when a rebuild is killed in the middle", async () => {
    const path = join(folder, "store.db");
    const store = openSqliteStore(path);
    for (let n = 0; n < 5000; n++) store.append({ ...silentReading, time_s: n, level_m: n });
    store.saveInflow({ from_s: 1, to_s: 2, inflow_m3s: 3, uInflow_m3s: 0 });
    store.saveCheckpoint({ state: "old", readingsSeen: 5000 });
    const level = store.level(always, 50);
    store.close();

    const child = startChild("rebuild-until-killed.ts", path);
    await child.heard("written 9999");
    await child.kill();

    const after = openSqliteStore(path);
    expect(after.inflow(always, 10)).toEqual([{ from_s: 1, to_s: 2, inflow_m3s: 3, uInflow_m3s: 0 }]);
    expect(after.findings(always, 10)).toEqual([]);
    expect(after.checkpoint()).toEqual({ state: "old", readingsSeen: 5000 });
    expect(after.level(always, 50)).toEqual(level);
    after.close();
    expect(integrity(path)).toBe("ok");
  });

  it("is refused to others while its process lives, by its number, and free as soon as that is dead", async () => {
    const path = join(folder, "store.db");
    const child = startChild("append-until-killed.ts", path);
    await child.heard("open");
    expect(() => openSqliteStore(path)).toThrow(`${path} is in use by another undercroft (process ${child.pid})`);
    await child.kill();
    openSqliteStore(path).close();
  });
});

describe("a process that is killed while it takes a recording in", () => {
  it("leaves what was there, and nothing of the recording", async () => {
    const path = join(folder, "store.db");
    const child = startChild("take-in-and-wait.ts", path);
    await child.heard("taken");
    expect(statSync(`${path}-wal`).size).toBeGreaterThan(500_000); // much of it is written already
    await child.kill();
    const store = openSqliteStore(path);
    expect([...store.readings()].map(({ level_m }) => level_m)).toEqual([0.5]);
    expect(store.span()).toEqual({ from_s: 1, to_s: 1 });
    store.close();
    expect(integrity(path)).toBe("ok");
  });
});
