import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { encodeChunk } from "../../../../daemon/stores/chunk/chunk.ts";
import { migrations, schemaVersion } from "../../../../daemon/stores/sqlite/migrations.ts";
import { openDatabase } from "../../../../daemon/stores/sqlite/open-database.ts";
import { openSqliteStore } from "../../../../daemon/stores/sqlite-store.ts";
import { StoreError } from "../../../../daemon/stores/store-error.ts";

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-open-"));
  path = join(folder, "store.db");
});
afterEach(() => rmSync(folder, { recursive: true }));

/** The refusal, which must be one line that names the file. */
function refusal(): string {
  try {
    openSqliteStore(path).close();
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    expect(error.message).toContain(path);
    expect(error.message).not.toContain("\n");
    return error.message;
  }
  throw new Error("the store was not refused");
}

describe("opening a store", () => {
  it("makes the file, and the folder it is to stand in", () => {
    openSqliteStore(join(folder, "new", "folder", "store.db")).close();
    openSqliteStore(join(folder, "new", "folder", "store.db")).close();
  });

  it("takes an empty file for a new store", () => {
    writeFileSync(path, "");
    openSqliteStore(path).close();
  });

  it("takes an older schema forward", () => {
    openDatabase(path).close();
    const database = openDatabase(path, [...migrations, "CREATE TABLE later (x REAL) STRICT"]);
    expect(schemaVersion(database)).toBe(migrations.length + 1);
    database.close();
  });

  it("refuses a newer schema and says what to do", () => {
    openDatabase(path, [...migrations, "CREATE TABLE later (x REAL) STRICT"]).close();
    expect(refusal()).toContain(
      `was written by a newer undercroft (schema ${migrations.length + 1}; this one knows up to ${migrations.length}); update this one`,
    );
  });

  it.runIf(existsSync("/proc/self/io"))(
    "reads but a few pages of a large file: a start takes no longer with the years",
    () => {
      openSqliteStore(path).close();
      const database = new DatabaseSync(path);
      const body = encodeChunk(
        Array.from({ length: 480 }, (_, i) => ({ ...silentReading, time_s: i, level_m: Math.sqrt(i) })),
      );
      const insert = database.prepare("INSERT INTO chunk VALUES (?, 480, ?, ?, ?)");
      database.exec("BEGIN");
      for (let i = 0; i < 2000; i++) insert.run(1 + i * 480, i * 480, (i + 1) * 480, body);
      database.exec("COMMIT");
      database.close();
      const read_B = () => Number(/rchar: (\d+)/.exec(readFileSync("/proc/self/io", "utf8"))?.[1]);
      const before_B = read_B();
      const store = openSqliteStore(path);
      expect(read_B() - before_B).toBeLessThan(statSync(path).size / 20);
      expect(store.readingCount()).toBe(2000 * 480);
      store.close();
    },
  );

  it("refuses another program's database and leaves it as it is", () => {
    const other = new DatabaseSync(path);
    other.exec("CREATE TABLE songs (title TEXT)");
    expect(refusal()).toContain("is another program's database; expected a store of undercroft, or no file");
    expect(other.prepare("PRAGMA journal_mode").get()?.journal_mode).toBe("delete");
    other.close();
  });

  it("refuses a file that is no database", () => {
    writeFileSync(path, "time,level_mm\n2026-03-04T06:10:00Z,355\n".repeat(100));
    expect(refusal()).toContain("the file is not a database");
  });

  it("refuses a folder in the file's place", () => {
    mkdirSync(path);
    expect(refusal()).toContain("the file cannot be opened");
  });

  it("refuses a folder that cannot be made", () => {
    writeFileSync(path, "");
    path = join(path, "store.db");
    expect(refusal()).toContain("its folder cannot be made");
  });

  it("lets go of its lock when it refuses", () => {
    writeFileSync(path, "no database, for certain, and long enough to be looked at ".repeat(20));
    refusal();
    expect(refusal()).not.toContain("in use");
    chmodSync(path, 0o600);
    rmSync(path);
    openSqliteStore(path).close();
  });
});
