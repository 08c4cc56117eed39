// A card that takes its time over every page: only what must be on it waits for it, and nothing is lost or out of order.

import fs, { mkdtempSync, rmSync } from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it, onTestFinished } from "vitest";
import { silentReading } from "../../analysis/readings/reading.ts";

const page_B = 4096;
const wholeFile_B = 256 * page_B;

/** Makes each write of pages onto the card take so long; tells how often one was waited for. */
function slowCard(wait_ms: number): () => number {
  const quick = fs.writeSync;
  let waits = 0;
  const slow = (file: number, bytes: Buffer, from: number, length: number, at: number) => {
    if (length % page_B === 0 && length < wholeFile_B) {
      waits++;
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, wait_ms);
    }
    return quick(file, bytes, from, length, at);
  };
  Object.assign(fs, { writeSync: slow });
  syncBuiltinESMExports();
  onTestFinished(() => {
    fs.writeSync = quick;
    syncBuiltinESMExports();
  });
  return () => waits;
}

it("a slow card is waited for once for a cycle, and not at all for a reading", async () => {
  const waits = slowCard(50);
  const { openSqliteStore } = await import("../../daemon/stores/sqlite-store.ts");
  const folder = mkdtempSync(join(tmpdir(), "undercroft-slow-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const store = openSqliteStore(join(folder, "store.db"));
  for (let n = 0; n < 3000; n++) store.append({ ...silentReading, time_s: n, level_m: n });
  expect(waits()).toBe(0);
  const bare = { run_s: 1, rest_s: null, startLevel_m: null, stopLevel_m: null, inflow: null, pumpRate: null };
  for (let i = 0; i < 3; i++) store.saveCycle({ ...bare, startedAt_s: i, stoppedAt_s: i + 1, drainBack_m3: null });
  expect(waits()).toBe(3);
  store.flush();
  expect(waits()).toBe(3); // all of it was there already
  expect([...store.readings()].map(({ level_m }) => level_m)).toEqual(Array.from({ length: 3000 }, (_, n) => n));
  store.close();
});

it("a card that takes longer than it may is spoken of once, with what to do", async () => {
  slowCard(20);
  const { openSqliteStore } = await import("../../daemon/stores/sqlite-store.ts");
  const folder = mkdtempSync(join(tmpdir(), "undercroft-slow-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const said: string[] = [];
  const store = openSqliteStore(join(folder, "store.db"), { slowAfter_ms: 15, log: (line) => said.push(line) });
  for (let n = 0; n < 5; n++) {
    store.append({ ...silentReading, time_s: n, level_m: n });
    store.flush();
  }
  store.close();
  expect(said).toHaveLength(1);
  expect(said[0]).toMatch(/^store: the card took 0\.\d s over one write; readings wait, none is lost;.*make a backup/);
});
