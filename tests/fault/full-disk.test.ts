// A disk that is really full, and a file that is really locked: the store holds, says so, and loses nothing.

import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { describe, expect, it, onTestFinished } from "vitest";
import { silentReading } from "../../analysis/readings/reading.ts";
import { importRecording } from "../../daemon/stores/exchange/exchange.ts";
import { restoreRecord } from "../../daemon/stores/sqlite/restore-record.ts";
import { backupRecord, compactRecord } from "../../daemon/stores/sqlite/upkeep.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../daemon/stores/store.ts";
import { until } from "../real/until.ts";
import { mayMakeDisks, neededDisk } from "./small-disk.ts";
import { mayMount, tinyDisk } from "./tiny-disk.ts";

const always = { from_s: 0, to_s: 1e12 };
const cycle = {
  startedAt_s: 2000,
  stoppedAt_s: 2010,
  run_s: 10,
  rest_s: null,
  startLevel_m: null,
  stopLevel_m: null,
  inflow: null,
  pumpRate: null,
  drainBack_m3: null,
};

/** A way in which a file stops taking anything, and its cure. */
interface Fault {
  readonly path: string;
  strike(): void;
  cure(): void;
}

function locked(): Fault {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-locked-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const path = join(folder, "store.db");
  let other: DatabaseSync | undefined;
  return {
    path,
    strike() {
      other = new DatabaseSync(path);
      other.exec("BEGIN IMMEDIATE");
    },
    cure: () => other?.close(),
  };
}

function full(): Fault {
  const disk = tinyDisk();
  onTestFinished(disk.remove);
  return { path: join(disk.folder, "store.db"), strike: disk.fill, cure: disk.free };
}

const faults = [
  { name: "locked", words: "another program has locked the file", begin: locked },
  // Where mounting is not allowed, tests/daemon/stores/sqlite/writer.test.ts with its full database has to do.
  ...(mayMount() ? [{ name: "on a full disk", words: "the disk is full", begin: full }] : []),
];

// What stops a file at the start of the daemon: on a full disk it must start all the same, for rain does not wait.
const startFaults = faults.filter((fault) => fault.begin === full);

function append(store: Store, from: number, to: number): void {
  for (let n = from; n < to; n++) store.append({ ...silentReading, time_s: n, level_m: n });
}

describe.each(faults)("a store that is $name", ({ words, begin }) => {
  it("holds and says so, still answers with everything, and writes it in order when that clears", async () => {
    const fault = begin();
    const store = openSqliteStore(fault.path, { writeAfter_ms: 100, retryAfter_ms: 100 });
    append(store, 0, 1000);
    store.flush();

    fault.strike();
    append(store, 1000, 20_000);
    store.saveCycle(cycle);
    store.saveCheckpoint({ state: "held", readingsSeen: 20_000 });
    await until("it holds", () => store.health().state === "holding");
    expect(store.health().error).toContain(words);
    expect(store.readingCount()).toBe(20_000);
    expect([...store.readings(998)].slice(0, 4).map((r) => r.level_m)).toEqual([998, 999, 1000, 1001]);
    expect(store.level(always, 10).maximum_m.at(-1)).toBe(19_999);
    expect(store.cycles(always, 10)).toEqual([cycle]);
    expect(store.checkpoint()?.state).toBe("held");

    fault.cure();
    await until("it writes again", () => store.health().state === "writing");
    expect(store.health()).toEqual({ state: "writing", held: 0, lost: 0, error: null, since_s: null });
    store.close();

    const after = openSqliteStore(fault.path);
    expect([...after.readings()].map((r) => r.level_m)).toEqual(Array.from({ length: 20_000 }, (_, n) => n));
    expect(after.cycles(always, 10)).toEqual([cycle]);
    expect(after.checkpoint()).toEqual({ state: "held", readingsSeen: 20_000 });
    after.close();
  });
});

describe.each(startFaults)("a daemon that starts $name", () => {
  it("opens its store, holds, and writes when there is room", async () => {
    const fault = full();
    const before = openSqliteStore(fault.path);
    append(before, 0, 1000);
    before.saveCycle(cycle);
    before.close();
    fault.strike();

    const store = openSqliteStore(fault.path, { writeAfter_ms: 100, retryAfter_ms: 100 });
    expect(store.readingCount()).toBe(1000);
    expect(store.cycles(always, 10)).toEqual([cycle]);
    append(store, 1000, 2000);
    // Recent readings have their room on the card already; what goes into the database has none.
    store.flush();
    expect(store.health().state).toBe("writing");
    store.saveCheckpoint({ state: new Uint8Array(100_000), readingsSeen: 2000 });
    await until("it holds", () => store.health().state === "holding");
    fault.cure();
    await until("it writes again", () => store.health().state === "writing");
    expect(() => openSqliteStore(fault.path)).toThrow("in use");
    store.close();

    const after = openSqliteStore(fault.path);
    expect(after.readingCount()).toBe(2000);
    after.close();
  });
});

describe.runIf(mayMount())("a store on a disk that has become read-only", () => {
  it("is refused in one sentence, and whole when it may be written again", () => {
    const disk = tinyDisk();
    onTestFinished(disk.remove);
    const path = join(disk.folder, "store.db");
    const before = openSqliteStore(path);
    append(before, 0, 1000);
    before.close();
    disk.readOnly();
    expect(() => openSqliteStore(path)).toThrow(/^[^\n]*store\.db[^\n]*read-only[^\n]*$/);
    disk.writable();
    const after = openSqliteStore(path);
    expect(after.readingCount()).toBe(1000);
    after.close();
  });
});

describe.runIf(mayMakeDisks())("a store whose disk fails and becomes read-only while it writes", () => {
  it("holds and says so, still answers with everything, and has all that was on the card once the disk is mended", async () => {
    const failing = neededDisk(16);
    onTestFinished(failing.remove);
    const path = join(failing.folder, "store.db");
    const said: string[] = [];
    const store = openSqliteStore(path, { writeAfter_ms: 100, retryAfter_ms: 100, log: (line) => said.push(line) });
    append(store, 0, 1000);
    store.flush();

    failing.fail();
    append(store, 1000, 30_000);
    store.saveCycle(cycle);
    expect(store.health().state).toBe("holding");
    expect(store.health().error).toContain("read-only");
    expect(said[0]).toMatch(/read-only.*readings are held in memory until it clears/);
    expect(store.readingCount()).toBe(30_000);
    expect(store.level(always, 10).maximum_m.at(-1)).toBe(29_999);
    expect(store.cycles(always, 10)).toEqual([cycle]);
    store.close();
    expect(said.at(-1)).toBe("store: closed while it could not write; 29000 readings are lost");

    failing.mendedAndMounted();
    const after = openSqliteStore(path);
    expect([...after.readings()].map((r) => r.level_m)).toEqual(Array.from({ length: 1000 }, (_, n) => n));
    after.close();
  });
});

describe.runIf(mayMount())("a recording that the disk has no room for", () => {
  it("leaves nothing, and the command says why", async () => {
    const disk = tinyDisk();
    onTestFinished(disk.remove);
    const folder = mkdtempSync(join(tmpdir(), "undercroft-too-long-"));
    onTestFinished(() => rmSync(folder, { recursive: true }));
    const recording = join(folder, "long.csv");
    const rows = Array.from({ length: 800_000 }, (_, n) => `${1_767_614_400_000 + n * 1000},${Math.sqrt(n + 2)}\n`);
    writeFileSync(recording, `time_ms,level_m\n${rows.join("")}`);
    const path = join(disk.folder, "store.db");
    const before = openSqliteStore(path);
    for (let n = 0; n < 100; n++) before.append({ ...silentReading, time_s: 1_767_600_000 + n, level_m: n });
    before.close();
    await expect(importRecording(path, recording)).rejects.toThrow(
      /store\.db: the disk is full .*; nothing of the recording was taken in/,
    );
    const store = openSqliteStore(path);
    expect([...store.readings()].map(({ level_m }) => level_m)).toEqual(Array.from({ length: 100 }, (_, n) => n));
    store.append({ ...silentReading, time_s: 1_767_700_000, level_m: 1 }); // and there is room again
    store.flush();
    expect(store.health().state).toBe("writing");
    store.close();
  }, 60_000);
});

describe.runIf(mayMount())("a disk without room for a second record", () => {
  const noisy = (from: number, to: number) =>
    Array.from({ length: to - from }, (_, i) => ({ ...silentReading, time_s: from + i, level_m: Math.sqrt(from + i) }));

  function onSmallDisk() {
    const disk = tinyDisk();
    onTestFinished(disk.remove);
    const elsewhere = mkdtempSync(join(tmpdir(), "undercroft-copy-"));
    onTestFinished(() => rmSync(elsewhere, { recursive: true }));
    const path = join(disk.folder, "store.db");
    const store = openSqliteStore(path);
    for (const reading of noisy(0, 10_000)) store.append(reading);
    store.close();
    return { disk, path, elsewhere };
  }

  function isWhole(path: string): void {
    const store = openSqliteStore(path);
    expect(store.readingCount()).toBe(10_000);
    store.close();
  }

  it("leaves the record where it is when a copy is to be put in its place, and says so", () => {
    const { disk, path, elsewhere } = onSmallDisk();
    const copy = join(elsewhere, "copy.db");
    const other = openSqliteStore(copy);
    for (const reading of noisy(0, 5000)) other.append(reading);
    other.close();
    disk.fill();
    expect(() => restoreRecord(path, copy, 1e6)).toThrow(/store\.db: the disk is full .*; the record is as it was/);
    disk.free();
    expect(readdirSync(disk.folder).filter((name) => /before|restoring/.test(name))).toEqual([]);
    isWhole(path);
  });

  it("takes no backup, and says so", async () => {
    const { disk, path, elsewhere } = onSmallDisk();
    const full = join(disk.folder, "copy.db");
    const source = join(elsewhere, "store.db");
    await backupRecord(path, source);
    disk.fill();
    await expect(backupRecord(source, full)).rejects.toThrow(/copy\.db: the disk is full .*; no copy was made/);
    disk.free();
    expect(readdirSync(disk.folder)).not.toContain("copy.db");
  });

  it("cannot be made room on by compacting, and keeps the record", () => {
    const { disk, path } = onSmallDisk();
    disk.fill();
    expect(() => compactRecord(path)).toThrow(/store\.db: the disk is full .*; it is as it was/);
    disk.free();
    isWhole(path);
  });
});
