import { DatabaseSync } from "node:sqlite";
import { describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { chunkTable } from "../../../../daemon/stores/sqlite/chunk-table.ts";
import { cycleTable } from "../../../../daemon/stores/sqlite/cycle-table.ts";
import { migrate, migrations, schemaVersion } from "../../../../daemon/stores/sqlite/migrations.ts";

const steps = [
  "CREATE TABLE level (time_s REAL, level_mm REAL); INSERT INTO level VALUES (1, 355)",
  "ALTER TABLE level ADD COLUMN level_m REAL; UPDATE level SET level_m = level_mm / 1000",
  "ALTER TABLE level DROP COLUMN level_mm",
];

const rows = (database: DatabaseSync) =>
  database
    .prepare("SELECT * FROM level")
    .all()
    .map((row) => ({ ...row }));

describe("migrate", () => {
  it("makes a new file in all steps", () => {
    const database = new DatabaseSync(":memory:");
    expect(migrate(database, steps)).toBe(0);
    expect(schemaVersion(database)).toBe(3);
    expect(rows(database)).toEqual([{ time_s: 1, level_m: 0.355 }]);
  });

  it.each([1, 2, 3])("takes a file of version %i forward with what it holds", (version) => {
    const database = new DatabaseSync(":memory:");
    migrate(database, steps.slice(0, version));
    database.exec("INSERT INTO level (time_s) VALUES (2)");
    expect(migrate(database, steps)).toBe(version);
    expect(schemaVersion(database)).toBe(3);
    expect(rows(database)).toEqual([
      { time_s: 1, level_m: 0.355 },
      { time_s: 2, level_m: null },
    ]);
  });

  it("leaves the version before when a step fails in its middle", () => {
    const database = new DatabaseSync(":memory:");
    migrate(database, steps.slice(0, 1));
    const broken = [...steps.slice(0, 1), "DELETE FROM level; INSERT INTO nowhere VALUES (1)"];
    expect(() => migrate(database, broken)).toThrow("nowhere");
    expect(schemaVersion(database)).toBe(1);
    expect(rows(database)).toEqual([{ time_s: 1, level_mm: 355 }]);
  });

  it("does a step that goes bit by bit, which writes the version itself", () => {
    const database = new DatabaseSync(":memory:");
    const bit = (at: DatabaseSync, version: number) => at.exec(`DELETE FROM level; PRAGMA user_version = ${version}`);
    expect(migrate(database, [...steps, bit, "CREATE TABLE later (x REAL)"])).toBe(0);
    expect(schemaVersion(database)).toBe(5);
    expect(rows(database)).toEqual([]);
  });

  it("knows the tables of version 1", () => {
    const database = new DatabaseSync(":memory:");
    migrate(database, migrations.slice(0, 1));
    const tables = database.prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").all();
    expect(tables.map((table) => table.name)).toEqual([
      ...["checkpoint", "cycle", "finding", "hour", "inflow", "inflowJoined", "minute", "reading", "rolledUp"],
    ]);
  });

  it("keeps the readings and cycles of a file of version 1, with nothing known of a second pump", () => {
    const database = new DatabaseSync(":memory:");
    migrate(database, migrations.slice(0, 1));
    // 2·27 + 1·9 + 0·3 + 2: the pump runs, its float hangs, no high float, the supply is there.
    database.exec("INSERT INTO reading (nth, time_s, level_m, switches) VALUES (1, 1000, 0.3, 65)");
    database.exec("INSERT INTO cycle (startedAt_s, stoppedAt_s, run_s) VALUES (1000, 1020, 20)");
    expect(migrate(database)).toBe(1);
    const [reading] = chunkTable(database).at(1)?.readings ?? [];
    expect(reading).toEqual({
      ...silentReading,
      time_s: 1000,
      level_m: 0.3,
      pumpOn: true,
      floatOn: false,
      mainsOn: true,
    });
    const [cycle] = cycleTable(database).within({ from_s: 0, to_s: 2000 }, 1);
    expect(cycle).toMatchObject({ startedAt_s: 1000, run_s: 20 });
    expect(cycle).not.toHaveProperty("pumps");
  });
});
