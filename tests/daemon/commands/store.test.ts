import { execFile } from "node:child_process";
import { copyFileSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { afterEach, beforeEach, expect, it } from "vitest";

const program = join(import.meta.dirname, "../../../daemon/undercroft.js");

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-command-"));
  copyFileSync(join(import.meta.dirname, "../../fixtures/stores/schema-3.sqlite"), join(folder, "a.sqlite"));
});
afterEach(() => rmSync(folder, { recursive: true }));

const store = (...words: string[]) =>
  promisify(execFile)(process.execPath, [program, "store", ...words], { cwd: folder });

it("undercroft store: from an old record to a copy, an export, a restored one and an imported one", async () => {
  await expect(store("check", "--store", "a.sqlite")).rejects.toMatchObject({
    code: 2,
    stderr: expect.stringContaining("undercroft store compact takes it forward"),
  });
  await store("compact", "--store", "a.sqlite");
  const { stdout: checked } = await store("check", "--store", "a.sqlite");
  expect(checked).toMatch(
    /a\.sqlite is whole: 3000 readings from 2026-01-05T12:00:00\.000Z to .*, 3 cycles, 1 finding,/,
  );
  await store("backup", "--store", "a.sqlite", "copy.sqlite");
  expect(readdirSync(folder).filter((name) => name.startsWith("copy"))).toEqual(["copy.sqlite"]);
  await store("restore", "--store", "b.sqlite", "copy.sqlite");
  await store("export", "--store", "b.sqlite", "--cycles", "cycles.csv");
  await store("export", "--store", "b.sqlite", "--findings", "findings.csv");
  await expect(store("export", "--store", "b.sqlite", "--findings", "--inflow", "both.csv")).rejects.toMatchObject({
    stderr: "expected one of --findings and --inflow, found both\n",
  });
  writeFileSync(join(folder, "more.csv"), "time_ms,level_mm\n1967614400000,355.1\n");
  const { stdout: imported } = await store("import", "--store", "b.sqlite", "more.csv");
  expect(imported).toContain("has 1 more reading;");
  await store("import", "--store", "new.sqlite", "more.csv");
  const { stdout: empty } = await store("export", "--store", "new.sqlite", "--cycles", "none.csv");
  expect(empty).toMatch(/none\.csv has no rows: .*new\.sqlite has no cycles yet; undercroft rebuild derives it/);
  expect(readFileSync(join(folder, "none.csv"), "utf8")).toMatch(/^started_at,stopped_at,run_s,.*,rate_of\n$/);
});

it("undercroft store says what it wants when it is not told which record", async () => {
  await expect(store("check")).rejects.toMatchObject({
    code: 2,
    stderr: "undercroft store: expected --site <file> or --store <file>, found neither\n",
  });
});
