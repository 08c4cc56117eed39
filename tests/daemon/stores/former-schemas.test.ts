// Stores that were filled by the programs of their time, opened by this one: nothing of them is lost or changed.

import { copyFileSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { migrations, schemaVersion } from "../../../daemon/stores/sqlite/migrations.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import * as content from "../../fixtures/stores/content.ts";

const always = { from_s: 0, to_s: 1e12 };
const fixtures = join(import.meta.dirname, "../../fixtures/stores");

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-former-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

function copyOf(version: number): string {
  const path = join(folder, "store.db");
  copyFileSync(join(fixtures, `schema-${version}.sqlite`), path);
  return path;
}

describe.each([3, 6, 8])("a store of schema %i", (version) => {
  it("keeps its readings bit for bit, and everything that was derived", () => {
    const store = openSqliteStore(copyOf(version));
    expect([...store.readings()]).toStrictEqual(content.readings);
    expect(store.cycles(always, 100)).toStrictEqual(content.cycles.toReversed());
    expect(store.findings(always, 100)).toStrictEqual(content.findings);
    expect(store.inflow(always, 1000)).toStrictEqual(content.inflow);
    expect(store.checkpoint()).toStrictEqual(content.checkpoint);
    const times = content.readings.map(({ time_s }) => time_s);
    expect(store.span()).toEqual({ from_s: Math.min(...times), to_s: Math.max(...times) });
    store.close();
  });

  it("has the roll-ups that its readings give", () => {
    const store = openSqliteStore(copyOf(version));
    const level = store.level(always, 20);
    const highest = content.readings.reduce((most, { level_m }) => Math.max(most, level_m ?? 0), 0);
    expect(Math.max(...level.maximum_m)).toBe(highest);
    store.rebuild(() => {});
    expect(store.level(always, 20)).toEqual(level);
    store.close();
  });
});

describe("a store of a row for each reading", () => {
  const version = 3;

  it("takes a fraction of the room afterwards", () => {
    const path = copyOf(version);
    openSqliteStore(path).close();
    expect(statSync(path).size).toBeLessThan(statSync(join(fixtures, `schema-${version}.sqlite`)).size);
  });

  it("goes on where it was cut off on the way", () => {
    const path = copyOf(version);
    const database = new DatabaseSync(path);
    for (const step of migrations.slice(version, 4)) {
      if (typeof step === "string") database.exec(step);
    }
    // As it stands with the tables made, and the first readings moved when the power went.
    const [chunks, rest] = [content.readings.slice(0, 1200), content.readings.slice(1200)];
    moveFirst(database, chunks.length);
    expect(schemaVersion(database)).toBe(4);
    database.close();

    const store = openSqliteStore(path);
    expect([...store.readings()]).toStrictEqual([...chunks, ...rest]);
    const level = store.level(always, 20);
    store.rebuild(() => {});
    expect(store.level(always, 20)).toEqual(level);
    store.close();
  });
});

/** The step's own work on the first of the rows, as if there were no others yet. */
function moveFirst(database: DatabaseSync, count: number): void {
  database.exec(`
    PRAGMA user_version = 4;
    CREATE TEMP TABLE later AS SELECT * FROM reading WHERE nth > ${count};
    DELETE FROM reading WHERE nth > ${count}`);
  const [step] = migrations.slice(4);
  if (typeof step !== "function") throw new Error("expected the step that moves readings");
  const stopBeforeTheEnd = "the tables are wanted still";
  const exec = database.exec.bind(database);
  database.exec = (sql) => {
    if (sql.includes("DROP TABLE reading")) throw new Error(stopBeforeTheEnd);
    exec(sql);
  };
  expect(() => step(database, 5)).toThrow(stopBeforeTheEnd);
  database.exec = exec;
  database.exec("INSERT INTO reading SELECT * FROM later");
}
