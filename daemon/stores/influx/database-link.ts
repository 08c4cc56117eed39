// The way to the shared database and back: points go there, rows come from there, and what it refuses is said. The client
// neither tries again nor waits behind the caller's back: when to try again is the caller's to say.

import type { InfluxDB, IResponse } from "influx";
import { StoreError } from "../store-error.ts";
import { type DatabaseConnection, readCredentials } from "./connection.ts";
import { explainAnswer, explainRefusal, type PartOfWrite, partOfWrite } from "./explain-refusal.ts";
import type { Row } from "./line-values.ts";
import type { Point, Policy } from "./point.ts";

/** Points that the database will never take, and why; all others of the write are there. */
export interface Refused {
  readonly points: readonly Point[];
  /** One sentence. */
  readonly why: string;
}

export interface DatabaseLink {
  /**
   * Writes points, which are there once however often they are written.
   * @returns what it refused for good, which writing again would not change
   * @throws {StoreError} when it is not known that they are there: to be written again
   */
  write(points: readonly Point[]): Promise<readonly Refused[]>;
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

  const writeTo = async (policy: Policy, points: Point[]): Promise<readonly Refused[]> => {
    try {
      await client.writePoints(points, { retentionPolicy: policy });
      return [];
    } catch (error) {
      const part = partOfWrite(error);
      if (part === null) throw refusal(explainRefusal(error, connection.username), error);
      return refusedOf(part, points);
    }
  };

  return {
    async write(points) {
      const refused: Refused[] = [];
      for (const policy of ["forever", "raw"] as const) {
        const some = points.filter((point) => point.policy === policy);
        if (some.length > 0) refused.push(...(await writeTo(policy, some)));
      }
      return refused;
    },
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

/** The client, for what goes beyond points and rows. */
export async function clientFor(connection: DatabaseConnection, baseFolder: string): Promise<InfluxDB> {
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

/** Which points they were: the database counts them and does not name them. */
function refusedOf({ why, dropped, measurement, field, said }: PartOfWrite, points: readonly Point[]): Refused[] {
  if (why === "too old") {
    const oldestFirst = points.toSorted((a, b) => (BigInt(a.timestamp) < BigInt(b.timestamp) ? -1 : 1));
    const old = oldestFirst.slice(0, dropped);
    return [{ points: old, why: `older than the database keeps them: ${countOf(old)}` }];
  }
  const some = points.filter(
    (point) => (measurement === null || point.measurement === measurement) && (field === null || field in point.fields),
  );
  const whose = `${countOf(some.slice(0, Math.max(dropped, 1)))}${some.length > dropped ? " or so" : ""}`;
  if (why === "other kind of value") {
    return [{ points: some, why: `another program has written field ${field} of ${measurement} there: ${whose}` }];
  }
  return [{ points: some, why: `the database cannot read ${dropped} of them: ${said}` }];
}

function countOf(points: readonly Point[]): string {
  const [first] = points;
  const last = points.at(-1);
  if (first === undefined || last === undefined) return "none";
  return `${points.length} points from ${iso(first)} to ${iso(last)}`;
}

function iso(point: Point): string {
  return `${new Date(Number(BigInt(point.timestamp) / 1_000_000n)).toISOString()}`;
}
