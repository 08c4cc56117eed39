// Runs one statement of SQL by the npm package of DuckDB, which reads from this process's standard input.

import { DuckDBInstance } from "@duckdb/node-api";

const [sql] = process.argv.slice(2);
if (sql === undefined) throw new Error("duckdb-child: expected a statement");
try {
  const instance = await DuckDBInstance.create(":memory:", { threads: "1" });
  const connection = await instance.connect();
  await connection.run(sql);
  connection.closeSync();
  instance.closeSync();
} catch (error) {
  console.error(error instanceof Error ? error.message : String(error));
  process.exitCode = 1;
}
