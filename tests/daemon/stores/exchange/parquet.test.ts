import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type DuckDBConnection, DuckDBInstance } from "@duckdb/node-api";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { channels, silentReading } from "../../../../analysis/readings/reading.ts";
import { exportRecord } from "../../../../daemon/stores/exchange/exchange.ts";
import { writeParquet } from "../../../../daemon/stores/exchange/parquet.ts";
import { openSqliteStore } from "../../../../daemon/stores/sqlite-store.ts";
import * as content from "../../../fixtures/stores/content.ts";

let folder: string;
let path: string;
let duckdb: DuckDBConnection;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-parquet-"));
  path = join(folder, "store.db");
  duckdb = await (await DuckDBInstance.create(":memory:")).connect();
});
afterEach(() => {
  duckdb.closeSync();
  vi.unstubAllEnvs();
  rmSync(folder, { recursive: true });
});

const rowsOf = async (file: string) =>
  (await duckdb.runAndReadAll(`SELECT * FROM read_parquet('${join(folder, file)}')`)).getRows();

const odd = [0.1 + 0.2, -0, Number.MIN_VALUE, -Number.MAX_VALUE, Math.PI, 2 ** 53].map((value, i) => ({
  ...silentReading,
  ...{ time_s: 1_767_700_000 + i / 3, level_m: value, temperature_c: value, rain_m: 0.0002, mainsOn: i % 2 === 0 },
}));

describe("a record as Parquet, read back by DuckDB", () => {
  it("has every reading bit for bit, in their order", async () => {
    const readings = [...content.readings, ...odd];
    const store = openSqliteStore(path);
    for (const reading of readings) store.append(reading);
    store.flush();
    await exportRecord(path, { what: "readings", file: join(folder, "r.parquet"), basin: "a" });
    store.close();
    const rows = readings.map((reading) => [reading.time_s, ...channels.map((channel) => reading[channel])]);
    expect(await rowsOf("r.parquet")).toStrictEqual(rows);
  });

  it("has the cycles in the report's units", async () => {
    const store = openSqliteStore(path);
    for (const cycle of content.cycles) store.saveCycle(cycle);
    store.close();
    await exportRecord(path, { what: "cycles", file: join(folder, "c.parquet"), basin: "a" });
    const answer = await duckdb.runAndReadAll(
      `SELECT epoch(started_at), run_s, start_level_mm, inflow_method, drain_back_l
       FROM read_parquet('${join(folder, "c.parquet")}')`,
    );
    expect(answer.getRows()).toEqual(content.cycles.map((one) => [one.startedAt_s, 20.5, 330, "fill-slope", null]));
  });
});

describe("writeParquet", () => {
  it("says what DuckDB says where it cannot write", async () => {
    await expect(writeParquet(join(folder, "no/such.parquet"), { a: "DOUBLE" }, ["1\n"])).rejects.toThrow(
      /DuckDB did not write it: .*No such file or directory/,
    );
  });

  it("takes the program where the package is not installed, and says so where there is neither", async () => {
    vi.doMock("../../../../daemon/stores/exchange/duckdb-package.ts", () => ({ hasDuckdbPackage: () => false }));
    vi.resetModules();
    const { writeParquet: withoutPackage } = await import("../../../../daemon/stores/exchange/parquet.ts");
    await expect(withoutPackage(join(folder, "a.parquet"), { a: "DOUBLE" }, ["1\n"])).rejects.toThrow(
      "neither the npm package @duckdb/node-api nor a program duckdb is here",
    );
    // As the program would be called: with -c and the statement, and the lines on its standard input.
    writeFileSync(join(folder, "duckdb"), `#!/bin/sh\n[ "$1" = --version ] || cat > "${folder}/given"\n`, {
      mode: 0o755,
    });
    vi.stubEnv("PATH", `${folder}:${process.env.PATH}`);
    await withoutPackage(join(folder, "a.parquet"), { a: "DOUBLE" }, ["1\n", "2\n"]);
    const { readFileSync } = await import("node:fs");
    expect(readFileSync(join(folder, "given"), "utf8")).toBe("1\n2\n");
    vi.doUnmock("../../../../daemon/stores/exchange/duckdb-package.ts");
  });
});
