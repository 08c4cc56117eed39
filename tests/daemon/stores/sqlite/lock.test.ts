import { mkdtempSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { lockStore } from "../../../../daemon/stores/sqlite/lock.ts";
import { openSqliteStore } from "../../../../daemon/stores/sqlite-store.ts";

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-lock-"));
  path = join(folder, "store.db");
});
afterEach(() => rmSync(folder, { recursive: true }));

// How it fares across processes, and when one is killed, is shown in tests/fault/.
describe("lockStore", () => {
  it("refuses a second holder, and names the first", () => {
    const lock = lockStore(path);
    expect(() => lockStore(path)).toThrow(`${path} is in use by another undercroft (process ${process.pid})`);
    lock.release();
    lockStore(path).release();
  });

  it("is not fooled by the number that a process before left behind", () => {
    const before = new DatabaseSync(`${path}.lock`);
    before.exec("PRAGMA user_version = 1");
    before.close();
    const lock = lockStore(path);
    expect(() => lockStore(path)).toThrow(`(process ${process.pid})`);
    lock.release();
  });

  it("sees one store behind two names", () => {
    openSqliteStore(path).close();
    symlinkSync(path, join(folder, "alias.db"));
    const store = openSqliteStore(path);
    expect(() => openSqliteStore(join(folder, "alias.db"))).toThrow("in use");
    store.close();
  });
});
