import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Cycle } from "../../../../analysis/cycles/cycle.ts";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { openRecent } from "../../../../daemon/stores/recent/recent.ts";
import { openDatabase } from "../../../../daemon/stores/sqlite/open-database.ts";
import { openTables, type Tables } from "../../../../daemon/stores/sqlite/tables.ts";
import { type Writer, writer } from "../../../../daemon/stores/sqlite/writer.ts";
import type { StoreOptions } from "../../../../daemon/stores/store.ts";

let folder: string;
let database: DatabaseSync;
let tables: Tables;
let out: Writer;
let log: string[];
let now_s: number;

beforeEach(() => {
  vi.useFakeTimers();
  folder = mkdtempSync(join(tmpdir(), "undercroft-writer-"));
  database = openDatabase(join(folder, "store.db"));
  tables = openTables(database);
  log = [];
  now_s = 1000;
  out = openWriter();
});
afterEach(() => {
  vi.useRealTimers();
  freeDisk();
  out.close();
  database.close();
  rmSync(folder, { recursive: true });
});

const keptOutside = () => openRecent(join(folder, "store.db"), tables.record.store());

function openWriter(more: StoreOptions = {}): Writer {
  const options = { mostHeld: 500, now_s: () => now_s, log: (message: string) => log.push(message) };
  return writer(database, tables, keptOutside(), { ...options, ...more });
}

function append(from: number, count: number): void {
  for (let i = from; i < from + count; i++) out.append({ ...silentReading, time_s: i, level_m: i / 1000 });
}

const inDatabase = () => [...tables.chunk.levels()].flatMap(({ time_s }) => [...time_s]);

/** What a process would find that came after this one's sudden end. */
function survivors(): number[] {
  const { recent, recovered } = keptOutside();
  recent.close(false);
  const times = inDatabase();
  for (const { firstNth, readings } of [...recovered.kept, ...recovered.noted]) {
    for (const [i, { time_s }] of readings.entries()) if (firstNth + i > times.length) times.push(time_s);
  }
  return times;
}

/** And how many after a sudden end of the power: what was noted for the process alone is gone. */
function onTheCard(): number {
  const { recent, recovered } = keptOutside();
  recent.close(false);
  return recovered.kept.reduce((sum, { readings }) => sum + readings.length, tables.chunk.count());
}

const counted = (count: number) => Array.from({ length: count }, (_, i) => i);

/** The database may not grow any more: what a full disk does to it. */
function fillDisk(): void {
  database.exec(`PRAGMA max_page_count = ${database.prepare("PRAGMA page_count").get()?.page_count}`);
}
function freeDisk(): void {
  database.exec("PRAGMA max_page_count = 1073741823");
}

const cycle: Cycle = {
  startedAt_s: 1,
  stoppedAt_s: 2,
  run_s: 1,
  rest_s: null,
  startLevel_m: null,
  stopLevel_m: null,
  inflow: null,
  pumpRate: null,
  drainBack_m3: null,
};

/** As large as it is, it needs pages that the database does not have yet. */
function saveCheckpoint(readingsSeen: number): void {
  out.waiting.checkpoint = { state: new Uint8Array(100_000), readingsSeen };
  out.intoDatabase();
}

describe("writer", () => {
  it("notes readings within a second of the first, where they outlive the process", () => {
    append(0, 10);
    vi.advanceTimersByTime(800);
    expect(survivors()).toEqual([]);
    vi.advanceTimersByTime(200);
    expect(survivors()).toEqual(counted(10));
    expect(onTheCard()).toBe(0);
  });

  it("puts them on the card each minute", () => {
    append(0, 10);
    vi.advanceTimersByTime(59_000);
    expect(onTheCard()).toBe(0);
    vi.advanceTimersByTime(1000);
    expect(onTheCard()).toBe(10);
    append(10, 10);
    vi.advanceTimersByTime(60_000);
    expect(onTheCard()).toBe(20);
    expect(survivors()).toEqual(counted(20));
  });

  it("puts them there each second where the site asks for that", () => {
    out.close();
    out = openWriter({ flushAfter_ms: 1000 });
    append(0, 10);
    vi.advanceTimersByTime(1000);
    expect(onTheCard()).toBe(10);
  });

  it("puts them into the database by chunks, so that memory stays bounded", () => {
    append(0, 60_000);
    expect(out.waiting.readings.length).toBeLessThanOrEqual(2 * 16_384);
    expect(tables.chunk.count() + out.waiting.readings.length).toBe(60_000);
  });

  it("waits for the card but once a minute while readings come fast, as from a file", () => {
    append(0, 60_000);
    expect(database.prepare("PRAGMA synchronous").get()?.synchronous).toBe(1); // NORMAL: no wait for the card
    vi.advanceTimersByTime(60_000);
    expect(database.prepare("PRAGMA synchronous").get()?.synchronous).toBe(2); // FULL
  });

  it("puts a cycle on the card at once, and the readings before it", () => {
    append(0, 10);
    out.saveCycle(cycle);
    expect(onTheCard()).toBe(10);
    const { recent, recovered } = keptOutside();
    recent.close(false);
    expect(recovered.kept.flatMap((batch) => batch.cycles)).toEqual([cycle]);
  });

  it("puts a checkpoint into the database at once, with what was derived before it", () => {
    append(0, 10);
    out.saveCycle(cycle);
    saveCheckpoint(10);
    expect(tables.checkpoint.get()?.readingsSeen).toBe(10);
    expect(tables.cycle.within({ from_s: 0, to_s: 9 }, 9)).toEqual([cycle]);
    expect(onTheCard()).toBe(10);
  });

  it("goes on for days on the few pages that it has for recent readings", () => {
    for (let minute = 0; minute < 500; minute++) {
      append(minute * 3, 3);
      if (minute % 7 === 0) out.saveCycle({ ...cycle, startedAt_s: minute, stoppedAt_s: minute });
      vi.advanceTimersByTime(60_000);
      if (minute % 99 === 0) expect(survivors()).toEqual(counted(minute * 3 + 3));
    }
    expect(survivors()).toEqual(counted(1500));
    expect(log).toEqual([]);
  });

  it("takes up what another process left, of readings and of what was derived, and rolls up each reading once", () => {
    append(0, 100);
    out.saveCycle(cycle);
    append(100, 50);
    vi.advanceTimersByTime(1000); // noted
    out = openWriter(); // the other is never heard of again
    expect(out.waiting.readings.map(({ time_s }) => time_s)).toEqual(counted(150));
    expect([...out.waiting.cycles.items()]).toEqual([cycle]);
    append(150, 50);
    out.close();
    expect(inDatabase()).toEqual(counted(200));
    expect(tables.cycle.within({ from_s: 0, to_s: 9 }, 9)).toEqual([cycle]);
    expect([...tables.rollups.table.asOne(0, 0)]).toMatchObject([{ levels: 200, minimum_m: 0, maximum_m: 0.199 }]);
    out = openWriter();
    expect(out.waiting.readings).toEqual([]);
    expect(out.waiting.cycles.size()).toBe(0);
  });

  describe("while the disk is full", () => {
    beforeEach(() => {
      append(0, 100);
      out.flush();
      fillDisk();
      append(100, 400);
      saveCheckpoint(500);
    });

    it("holds, says so in plain words, and since when", () => {
      expect(out.health()).toEqual({
        state: "holding",
        held: 500,
        lost: 0,
        error: expect.stringContaining("the disk is full"),
        since_s: 1000,
      });
      expect(log).toEqual([expect.stringContaining("store: the disk is full")]);
      expect(tables.chunk.count()).toBe(0);
    });

    it("takes derived rows without a word, and writes all of it in order when there is room", () => {
      out.saveCycle(cycle);
      append(500, 50);
      now_s += 77;
      freeDisk();
      vi.advanceTimersByTime(1000);
      expect(out.health()).toMatchObject({ state: "writing", held: 0, error: null, since_s: null });
      expect(tables.cycle.within({ from_s: 0, to_s: 9 }, 9)).toEqual([cycle]);
      expect(log[1]).toContain("store: writing again after 77 s");
    });

    it("keeps trying, about once a second, and speaks of it once", () => {
      vi.advanceTimersByTime(10_000);
      expect(log).toHaveLength(1);
      freeDisk();
      vi.advanceTimersByTime(1000);
      expect(tables.checkpoint.get()?.readingsSeen).toBe(500);
      expect(survivors()).toEqual(counted(500));
    });

    it("gives up the oldest beyond its bound that are not on the card, and counts them", () => {
      append(500, 101); // 601 are held, 500 of them on the card; 500 may be
      expect(out.health()).toMatchObject({ held: 500, lost: 101 });
      freeDisk();
      vi.advanceTimersByTime(1000);
      append(601, 10);
      out.close();
      expect(inDatabase()).toEqual([...counted(500), ...counted(611).slice(601)]);
    });

    it("refuses to rebuild, and says why", () => {
      expect(() => out.rebuild(() => {})).toThrow("cannot be rebuilt: the disk is full");
    });
  });

  it("rolls up each reading once, whether or not the database took it at first", () => {
    append(0, 100);
    fillDisk();
    saveCheckpoint(100);
    append(100, 200);
    vi.advanceTimersByTime(5000);
    freeDisk();
    vi.advanceTimersByTime(1000);
    out.close();
    expect([...tables.rollups.table.asOne(0, 0)]).toMatchObject([{ levels: 300, minimum_m: 0, maximum_m: 0.299 }]);
  });

  it("holds while another program has locked the file", () => {
    const other = new DatabaseSync(join(folder, "store.db"));
    other.exec("BEGIN IMMEDIATE");
    append(0, 10);
    saveCheckpoint(10);
    expect(out.health()).toMatchObject({ state: "holding", held: 10 });
    expect(out.health().error).toContain("another program has locked the file");
    other.exec("ROLLBACK");
    vi.advanceTimersByTime(1000);
    expect(out.health().state).toBe("writing");
    expect(tables.checkpoint.get()?.readingsSeen).toBe(10);
    other.close();
  });

  it("says what is lost when it closes while nothing can be written at all", () => {
    mkdirSync(join(folder, "store.db.recent")); // where the file would be made
    const other = new DatabaseSync(join(folder, "store.db"));
    other.exec("BEGIN IMMEDIATE");
    append(0, 400);
    out.close();
    other.close();
    expect(log.at(-1)).toContain("400 readings are lost");
    rmSync(join(folder, "store.db.recent"), { recursive: true });
    out = openWriter();
  });

  it("lets a defect of the program through: only the disk's faults are held", () => {
    expect(() =>
      out.rebuild(() => {
        throw new TypeError("a defect");
      }),
    ).toThrow("a defect");
    expect(out.health().state).toBe("writing");
  });
});
