// Asks the shared database, and says what it refuses. The client neither tries again nor waits behind the caller's back.
// What boards write goes the forwarder's own way (daemon/forward/).

import type { InfluxDB, IResponse } from "influx";
import { StoreError } from "../store-error.ts";
import { type DatabaseConnection, readCredentials } from "./connection.ts";
import { explainAnswer, explainRefusal } from "./explain-refusal.ts";
import type { Row } from "./line-values.ts";

export interface DatabaseLink {
  /**
   * @param values what stands for `$name` in the statement; a text there cannot change what is asked
   * @throws {StoreError} in one sentence
   */
  query(statement: string, values?: Readonly<Record<string, string | number>>): Promise<readonly Row[]>;
}

/**
 * Reads password and authority afresh; opens no connection yet.
 * @param baseFolder where relative paths of the connection start
 * @throws {StoreError} when a file cannot be read
 */
export async function linkToDatabase(connection: DatabaseConnection, baseFolder: string): Promise<DatabaseLink> {
  const client = await clientFor(connection, baseFolder);
  const refusal = (why: string, cause?: unknown) => new StoreError(`database ${connection.url}: ${why}`, { cause });

  return {
    async query(statement, values = {}) {
      let answer: IResponse;
      try {
        answer = await client.queryRaw(statement, { precision: "u", placeholders: { ...values }, method: "POST" });
      } catch (error) {
        throw refusal(explainRefusal(error, connection.username), error);
      }
      const [result] = answer.results;
      if (result?.error !== undefined) throw refusal(explainAnswer(result.error));
      return rowsOf(result, () => {
        throw refusal("it gave only a part of the answer (max-row-limit in its configuration; expected 0)");
      });
    },
  };
}

async function clientFor(connection: DatabaseConnection, baseFolder: string): Promise<InfluxDB> {
  const { InfluxDB } = await import("influx"); // only where there is a shared database
  const { password, ca } = readCredentials(connection, baseFolder);
  const { protocol, hostname, port, pathname } = new URL(connection.url);
  const secure = protocol === "https:";
  return new InfluxDB({
    host: hostname.replaceAll(/[[\]]/g, ""),
    port: port === "" ? (secure ? 443 : 80) : Number(port),
    path: pathname === "/" ? "" : pathname.replace(/\/$/, ""),
    protocol: secure ? "https" : "http",
    database: connection.database,
    ...(connection.username !== undefined && { username: connection.username, password: password ?? "" }),
    options: ca === undefined ? {} : { ca },
    pool: { maxRetries: 0, requestTimeout: connection.timeout * 1000, backoff: noWaiting },
  });
}

const noWaiting = { getDelay: () => 0, next: () => noWaiting, reset: () => noWaiting };

function rowsOf(result: IResponse["results"][number] | undefined, onPart: () => never): Row[] {
  const rows: Row[] = [];
  for (const series of result?.series ?? []) {
    if ("partial" in series) onPart();
    for (const values of series.values ?? []) {
      const row: Record<string, unknown> = { ...series.tags };
      for (const [i, column] of series.columns.entries()) row[column] = values[i];
      rows.push(row);
    }
  }
  return rows;
}
