import {
  copyFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { restoreRecord } from "../../../../daemon/stores/sqlite/restore-record.ts";
import { backupRecord, checkRecord, compactRecord } from "../../../../daemon/stores/sqlite/upkeep.ts";
import { openSqliteStore } from "../../../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../../../daemon/stores/store.ts";
import * as content from "../../../fixtures/stores/content.ts";

const always = { from_s: 0, to_s: 1e12 };
const noon_s = 1_767_614_400;

let folder: string;
let path: string;
let copy: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-upkeep-"));
  path = join(folder, "store.db");
  copy = join(folder, "copy.db");
});
afterEach(() => rmSync(folder, { recursive: true }));

function filled(): Store {
  const store = openSqliteStore(path);
  content.fill(store);
  return store;
}

function holdsTheContent(file: string): void {
  const store = openSqliteStore(file);
  expect([...store.readings()]).toStrictEqual(content.readings);
  expect(store.cycles(always, 100)).toStrictEqual(content.cycles.toReversed());
  expect(store.findings(always, 100)).toStrictEqual(content.findings);
  expect(store.inflow(always, 1000)).toStrictEqual(content.inflow);
  expect(store.checkpoint()).toStrictEqual(content.checkpoint);
  store.close();
}

const spoil = (file: string, page: number) =>
  writeFileSync(file, readFileSync(file).fill(0xa5, page * 4096 + 100, page * 4096 + 4096));

describe("a backup", () => {
  it("is one file, made while the store is open, with what is not in the database yet", async () => {
    const store = filled();
    const checked = await backupRecord(path, copy);
    store.close();
    expect(checked).toMatchObject({ readings: content.readings.length, cycles: 3, findings: 1, faults: [] });
    expect(readdirSync(folder).filter((name) => name.startsWith("copy"))).toEqual(["copy.db"]);
    holdsTheContent(copy);
  });

  it("is not written over a file that is there", async () => {
    filled().close();
    writeFileSync(copy, "my letters");
    await expect(backupRecord(path, copy)).rejects.toThrow("is there already");
    expect(readFileSync(copy, "utf8")).toBe("my letters");
  });

  it("of nothing, or of another program's file, is refused", async () => {
    await expect(backupRecord(path, copy)).rejects.toThrow("no such record");
    writeFileSync(path, "time_ms,level_mm\n".repeat(300));
    await expect(backupRecord(path, copy)).rejects.toThrow("not a database");
    expect(existsSync(copy)).toBe(false);
  });
});

describe("restoring", () => {
  it("puts the copy in the record's place, and sets what was there aside", async () => {
    filled().close();
    await backupRecord(path, copy);
    const later = openSqliteStore(path);
    later.append({ ...silentReading, time_s: noon_s + 1e6, level_m: 0.1 });
    later.close();
    const { aside } = restoreRecord(path, copy, noon_s);
    expect(aside).toBe(`${path}.before-2026-01-05T12-00-00`);
    holdsTheContent(path);
    holdsTheContent(copy);
    const before = openSqliteStore(aside ?? "");
    expect(before.readingCount()).toBe(content.readings.length + 1);
    before.close();
  });

  it("sets aside under a name of its own what a second restore within the second finds", async () => {
    filled().close();
    await backupRecord(path, copy);
    const asides = [restoreRecord(path, copy, noon_s).aside, restoreRecord(path, copy, noon_s + 0.5).aside];
    expect(asides).toEqual([`${path}.before-2026-01-05T12-00-00`, `${path}.before-2026-01-05T12-00-00-2`]);
    for (const aside of asides) holdsTheContent(aside ?? "");
  });

  it("knows from when to when it has nothing, also of what stood outside the database", async () => {
    const store = filled();
    await backupRecord(path, copy);
    const end_s = Math.max(...content.readings.map(({ time_s }) => time_s));
    expect(store.putBack()).toBeNull();
    store.append({ ...silentReading, time_s: noon_s + 1e6, level_m: 0.1 });
    store.flush();
    for (const part of ["", "-wal", ".recent"]) copyFileSync(path + part, `${path}x${part}`); // as the power leaves it
    store.close();
    restoreRecord(`${path}x`, copy, noon_s + 31 * 86_400);
    const restored = openSqliteStore(`${path}x`);
    expect(restored.putBack()).toEqual({
      at_s: noon_s + 31 * 86_400,
      from_s: end_s,
      to_s: noon_s + 1e6,
      aside: "store.dbx.before-2026-02-05T12-00-00",
    });
    restored.close();
  });

  it("knows nothing missing where what was there ended with the copy", async () => {
    filled().close();
    await backupRecord(path, copy);
    restoreRecord(path, copy, noon_s + 1e6);
    const store = openSqliteStore(path);
    expect(store.putBack()).toBeNull();
    store.close();
  });

  it("makes a record where there is none", async () => {
    filled().close();
    await backupRecord(path, copy);
    const elsewhere = join(folder, "elsewhere.db");
    expect(restoreRecord(elsewhere, copy, noon_s).aside).toBeNull();
    holdsTheContent(elsewhere);
  });

  it("is refused while a daemon has the record, and from a copy that is not whole", async () => {
    const store = filled();
    await backupRecord(path, copy);
    expect(() => restoreRecord(path, copy, noon_s)).toThrow("is in use by another undercroft");
    store.close();
    spoil(copy, Math.floor(statSync(copy).size / 4096) - 1);
    expect(() => restoreRecord(path, copy, noon_s)).toThrow("is not whole");
    holdsTheContent(path);
  });
});

describe("checking", () => {
  it("finds nothing wrong with a whole record, also while it is written", () => {
    const store = filled();
    const { faults, size_B } = checkRecord(path);
    expect(faults).toEqual([]);
    expect(size_B).toBeGreaterThan(statSync(path).size); // what is in the log only counts, too
    store.close();
    const times = content.readings.map(({ time_s }) => time_s);
    expect(checkRecord(path)).toMatchObject({
      readings: content.readings.length,
      from_s: Math.min(...times),
      to_s: Math.max(...times),
      faults: [],
    });
  });

  it("counts what the database does not have yet, which on the first day is everything", () => {
    const store = openSqliteStore(path);
    const times_s = [0, 1, 2].map((second) => noon_s + second);
    for (const time_s of times_s) store.append({ ...silentReading, time_s, level_m: 0.2 });
    for (const cycle of content.cycles) store.saveCycle(cycle);
    store.flush();
    expect(checkRecord(path)).toMatchObject({
      ...{ readings: 3, from_s: noon_s, to_s: noon_s + 2, cycles: content.cycles.length, findings: 0, faults: [] },
    });
    store.close();
    expect(checkRecord(path)).toMatchObject({ readings: 3, cycles: content.cycles.length });
  });

  it("says what to do with a record of an older program", () => {
    copyFileSync(join(import.meta.dirname, "../../../fixtures/stores/schema-3.sqlite"), path);
    expect(() => checkRecord(path)).toThrow("older undercroft (schema 3");
    compactRecord(path);
    expect(checkRecord(path)).toMatchObject({ readings: content.readings.length, faults: [] });
  });

  it("finds any spoilt page that is half full or more", () => {
    filled().close();
    const whole = readFileSync(path);
    for (let page = 1; page < whole.length / 4096; page++) {
      writeFileSync(path, whole);
      spoil(path, page);
      if (whole.subarray(page * 4096, page * 4096 + 4096).filter((byte) => byte !== 0).length < 2048) continue;
      expect(checkRecord(path).faults.length, `page ${page}`).toBeGreaterThan(0);
    }
  });
});

it("compacting gives the room of what is gone back to the disk, and keeps all the rest", () => {
  const store = filled();
  store.saveCheckpoint({ ...content.checkpoint, state: new Uint8Array(300_000).map((_, i) => (i * 7919) % 251) });
  store.saveCheckpoint(content.checkpoint);
  store.close();
  const { before_B, after_B } = compactRecord(path);
  expect(after_B).toBeLessThanOrEqual(before_B);
  expect(after_B).toBe(statSync(path).size);
  holdsTheContent(path);
});
