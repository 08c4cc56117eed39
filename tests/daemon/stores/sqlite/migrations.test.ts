import { DatabaseSync } from "node:sqlite";
import { describe, expect, it } from "vitest";
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

  it("knows the tables of version 1", () => {
    const database = new DatabaseSync(":memory:");
    migrate(database, migrations.slice(0, 1));
    const tables = database.prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").all();
    expect(tables.map((table) => table.name)).toEqual([
      ...["checkpoint", "cycle", "finding", "hour", "inflow", "inflowJoined", "minute", "reading", "rolledUp"],
    ]);
  });
});
