// The simple result by DuckDB: fills and the slope of each, from the recording, on two threads. A process of its own.
// Run: node tests/bench/month/by-duckdb.ts RECORDING.csv      (npm ci brings DuckDB for this alone)

import { DuckDBInstance } from "@duckdb/node-api";

const path = process.argv[2];
if (path === undefined) throw new Error("by-duckdb: expected the path of a recording");

/** The rule of bare-pass.ts: a fill is what lies between falls of 3 cm within ten readings, when it is over a minute long. */
const sql = `
  SELECT count(*)::INTEGER AS fills, sum(slope)::DOUBLE AS slopes FROM (
    SELECT regr_slope(level_mm, time_s) AS slope FROM (
      SELECT *, sum(falls) OVER (ORDER BY time_s ROWS UNBOUNDED PRECEDING) AS fill FROM (
        SELECT time_s, level_mm,
          CASE WHEN level_mm - lag(level_mm, 10) OVER (ORDER BY time_s) < -30 THEN 1 ELSE 0 END AS falls
        FROM (SELECT epoch(time) AS time_s, level_mm FROM read_csv('${path.replaceAll("'", "''")}', header = true,
          columns = {'time': 'TIMESTAMPTZ', 'level_mm': 'DOUBLE', 'pump_on': 'TINYINT'}))))
    WHERE falls = 0 GROUP BY fill HAVING count(*) > 60)`;

const instance = await DuckDBInstance.create(":memory:", { threads: "2" });
const connection = await instance.connect();
const [row] = (await connection.runAndReadAll(sql)).getRowObjects();
console.log(JSON.stringify({ fills: Number(row?.fills), slopes: Number(row?.slopes) }));
connection.closeSync();
instance.closeSync();
