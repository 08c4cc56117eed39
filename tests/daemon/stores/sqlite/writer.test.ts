import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { openDatabase } from "../../../../daemon/stores/sqlite/open-database.ts";
import { openTables, type Tables } from "../../../../daemon/stores/sqlite/tables.ts";
import { type Writer, writer } from "../../../../daemon/stores/sqlite/writer.ts";

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
  out = writer(database, tables, { mostHeld: 500, now_s: () => now_s, log: (message) => log.push(message) });
});
afterEach(() => {
  vi.useRealTimers();
  database.close();
  rmSync(folder, { recursive: true });
});

function append(from: number, count: number): void {
  for (let i = from; i < from + count; i++) out.append({ ...silentReading, time_s: i, level_m: i / 1000 });
}

/** What another program would find in the file. */
function rows(): number {
  const other = new DatabaseSync(join(folder, "store.db"), { readOnly: true });
  const { count } = other.prepare("SELECT count(*) AS count FROM reading").get() ?? {};
  other.close();
  return Number(count);
}

const inflow = { from_s: 1, to_s: 2, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 };

/** The database may not grow any more: what a full disk does to it. */
function fillDisk(): void {
  database.exec(`PRAGMA max_page_count = ${database.prepare("PRAGMA page_count").get()?.page_count}`);
}
function freeDisk(): void {
  database.exec("PRAGMA max_page_count = 1073741823");
}

describe("writer", () => {
  it("writes readings together, within a second of the first", () => {
    append(0, 10);
    vi.advanceTimersByTime(800);
    expect(rows()).toBe(0);
    vi.advanceTimersByTime(200);
    expect(rows()).toBe(10);
  });

  it("writes at once when many come at once, so that memory stays bounded", () => {
    append(0, 12_345);
    expect(rows()).toBe(10_000);
    expect(out.waiting.readings).toHaveLength(2345);
  });

  it("writes what is derived at once, and the readings before it", () => {
    append(0, 10);
    out.waiting.inflow.add(inflow);
    out.save("durable");
    expect(rows()).toBe(10);
    expect(tables.inflow.within({ from_s: 0, to_s: 9 }, 9)).toEqual([inflow]);
  });

  it.each([
    { name: "readings alone are spared the wait for the card", derived: false, synchronous: 1 }, // NORMAL
    { name: "derived rows wait for the card", derived: true, synchronous: 2 }, // FULL
  ])("$name", ({ derived, synchronous }) => {
    append(0, 1);
    if (derived) {
      out.waiting.inflow.add(inflow);
      out.save("durable");
    }
    vi.advanceTimersByTime(1000);
    expect(database.prepare("PRAGMA synchronous").get()?.synchronous).toBe(synchronous);
  });

  it("writes the minute's roll-up once, when the minute is over", () => {
    const minutes = () => Number(database.prepare("SELECT count(*) AS n FROM minute").get()?.n);
    append(0, 60);
    out.flush();
    expect(minutes()).toBe(0);
    append(60, 1);
    out.flush();
    expect(minutes()).toBe(2);
  });

  describe("while the disk is full", () => {
    beforeEach(() => {
      append(0, 100);
      out.flush();
      fillDisk();
      append(100, 400);
      vi.advanceTimersByTime(1000);
    });

    it("holds, says so in plain words, and since when", () => {
      expect(out.health()).toEqual({
        state: "holding",
        held: 400,
        lost: 0,
        error: expect.stringContaining("the disk is full"),
        since_s: 1000,
      });
      expect(log).toEqual([expect.stringContaining("store: the disk is full")]);
      expect(rows()).toBe(100);
    });

    it("takes derived rows without a word, and writes all of it in order when there is room", () => {
      out.waiting.inflow.add(inflow);
      out.save("durable");
      append(500, 50);
      now_s += 77;
      freeDisk();
      vi.advanceTimersByTime(1000);
      expect(out.health()).toEqual({ state: "writing", held: 0, lost: 0, error: null, since_s: null });
      expect([...tables.reading.after(0)].map((r) => r.time_s)).toEqual(Array.from({ length: 550 }, (_, i) => i));
      expect(tables.inflow.within({ from_s: 0, to_s: 9 }, 9)).toEqual([inflow]);
      expect(log[1]).toBe("store: writing again after 77 s; 0 readings were lost since the start");
    });

    it("keeps trying, about once a second, and speaks of it once", () => {
      vi.advanceTimersByTime(10_000);
      expect(log).toHaveLength(1);
      freeDisk();
      vi.advanceTimersByTime(1000);
      expect(rows()).toBe(500);
    });

    it("gives up the oldest beyond its bound, and counts them", () => {
      append(500, 101); // 501 are held, 500 may be: 1 and a hundredth of the bound go
      expect(out.health()).toMatchObject({ held: 495, lost: 6 });
      freeDisk();
      vi.advanceTimersByTime(1000);
      const times = [...tables.reading.after(0)].map((r) => r.time_s);
      expect(times.slice(98, 102)).toEqual([98, 99, 106, 107]);
    });

    it("has roll-ups of the rows alone, so that none is counted twice", () => {
      const firstHour = () => tables.rollups.hours().open.get(0) ?? tables.rollups.hours().table.get(0);
      expect(firstHour()).toMatchObject({ levels: 100, maximum_m: 0.099 });
      freeDisk();
      vi.advanceTimersByTime(1000);
      expect(firstHour()).toMatchObject({ levels: 500, maximum_m: 0.499 });
    });

    it("refuses to rebuild, and says why", () => {
      expect(() => out.rebuild(() => {})).toThrow("cannot be rebuilt: the disk is full");
    });
  });

  it("holds while another program has locked the file", () => {
    const other = new DatabaseSync(join(folder, "store.db"));
    other.exec("BEGIN IMMEDIATE");
    append(0, 10);
    out.waiting.inflow.add(inflow);
    out.save("durable");
    expect(out.health()).toMatchObject({ state: "holding", held: 10 });
    expect(out.health().error).toContain("another program has locked the file");
    other.exec("ROLLBACK");
    vi.advanceTimersByTime(1000);
    expect(out.health().state).toBe("writing");
    expect(rows()).toBe(10);
    other.close();
  });

  it("says what is lost when it closes while it holds", () => {
    fillDisk();
    append(0, 400);
    out.close();
    expect(log.at(-1)).toContain("400 readings are lost");
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
