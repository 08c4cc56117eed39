// Parquet, written by DuckDB where it is at hand: as the npm package @duckdb/node-api, or as the program duckdb. It reads
// lines of CSV from a pipe, so that a record of years takes neither memory nor room on the disk beside the file.

import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { fileURLToPath } from "node:url";
import { StoreError } from "../store-error.ts";
import { hasDuckdbPackage } from "./duckdb-package.ts";

/** Type in DuckDB's SQL of each column, by its name and in the order of the lines. */
export type ParquetColumns = Readonly<
  Record<string, "BIGINT" | "BOOLEAN" | "DOUBLE" | "INTEGER" | "TIMESTAMPTZ" | "VARCHAR">
>;

/**
 * @param lines without a header; an empty cell is null
 * @throws {StoreError} when there is no DuckDB, or it says no
 */
export async function writeParquet(file: string, columns: ParquetColumns, lines: Iterable<string>): Promise<void> {
  // Node gives a child a socket, which cannot be opened by name: `cat` makes a pipe of it.
  const child = spawn("sh", ["-c", 'cat | "$@"', "sh", ...duckdb(), copyInto(file, columns)], {
    stdio: ["pipe", "ignore", "pipe"],
  });
  let said = "";
  child.stderr.on("data", (text) => {
    said += text;
  });
  const [, [code]] = await Promise.all([
    pipeline(Readable.from(lines), child.stdin).catch(() => {}), // it says itself why it stopped reading
    once(child, "close"),
  ]);
  if (code !== 0) throw new StoreError(`${file}: DuckDB did not write it: ${said.trim().split("\n")[0]}`);
}

/** The package's own program first, then whatever stands on the path. */
function duckdb(): string[] {
  const child = fileURLToPath(new URL("./duckdb-child.ts", import.meta.url));
  if (hasDuckdbPackage()) return [process.execPath, child];
  if (spawnSync("duckdb", ["--version"]).status === 0) return ["duckdb", "-c"];
  throw new StoreError(
    "Parquet is written by DuckDB, and neither the npm package @duckdb/node-api nor a program duckdb is here; install one of them, or export as CSV",
  );
}

/** Read in the order of the lines, by one thread: it is written in that order, too. */
function copyInto(file: string, columns: ParquetColumns): string {
  const types = Object.entries(columns).map(([name, type]) => `'${name}': '${type}'`);
  return `COPY (
    SELECT * FROM read_csv('/dev/stdin', header = false, auto_detect = false, delim = ',', quote = '"', escape = '"',
      parallel = false, columns = {${types.join(", ")}})
  ) TO '${file.replaceAll("'", "''")}' (FORMAT parquet, PARQUET_VERSION v2, COMPRESSION zstd)`;
}
