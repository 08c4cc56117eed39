// A record as if it had been kept for many times as long: what is in it is put before it again and again, with earlier
// times and places. For how long something takes, or how much it reads; the copies' readings still have their own times.

import { DatabaseSync } from "node:sqlite";

const day_s = 86_400;

/**
 * @param path   of a record that is closed and spans whole days
 * @param copies how many to put before it
 */
export function enlargeRecord(path: string, copies: number, spanDays: number): void {
  const database = new DatabaseSync(path);
  const count = Number(database.prepare("SELECT max(firstNth + readings - 1) AS n FROM chunk").get()?.n);
  const [nth, time_s] = [count * copies, spanDays * day_s * copies];
  database.exec(`
    BEGIN;
    UPDATE chunk SET firstNth = firstNth + ${nth};
    UPDATE day SET firstNth = firstNth + ${nth}, lastNth = lastNth + ${nth};
    UPDATE checkpoint SET readingsSeen = readingsSeen + ${nth};
    UPDATE record SET from_s = from_s - ${time_s};
    CREATE TEMP TABLE back AS WITH RECURSIVE k(k) AS (SELECT ${copies} UNION ALL SELECT k - 1 FROM k WHERE k > 1)
      SELECT k, k * ${count} AS nth, k * ${spanDays} AS days, k * ${spanDays * day_s} AS s FROM k;
    CREATE TEMP TABLE was AS SELECT * FROM chunk;
    INSERT INTO chunk SELECT firstNth - nth, readings, from_s - s, to_s - s, body FROM back, was ORDER BY k DESC;`);
  const again = (table: string, changed: Readonly<Record<string, string>>) => {
    const columns = database.prepare(`PRAGMA table_info(${table})`).all();
    const values = columns.map(({ name }) => changed[String(name)] ?? String(name));
    database.exec(`DROP TABLE was; CREATE TEMP TABLE was AS SELECT * FROM ${table};
      INSERT INTO ${table} SELECT ${values.join(", ")} FROM back, was`);
  };
  again("day", { day: "day - days", firstNth: "firstNth - nth", lastNth: "lastNth - nth" });
  again("cycle", { startedAt_s: "startedAt_s - s", stoppedAt_s: "stoppedAt_s - s" });
  again("finding", { from_s: "from_s - s", to_s: "to_s - s" });
  again("inflowPart", { part: `part - days * ${day_s / 600}` });
  again("inflowJoined", { from_s: "from_s - s", to_s: "to_s - s" });
  database.exec("COMMIT");
  database.close();
}
