// What an answer to written points means: taken, all or in part, too much at once, or a trouble in words. Pure.
// The texts are those of InfluxDB 1.x, held against a real one by tests/real/forward.test.ts.

import type { DatabaseConnection } from "../stores/influx/connection.ts";
import type { Answer } from "./database-client.ts";
import { Trouble } from "./trouble.ts";

export type Outcome =
  | { readonly kind: "taken" }
  /** Those that it does not keep so long it has left out; the others it has. */
  | { readonly kind: "too-old"; readonly points: number }
  | { readonly kind: "too-large" }
  /** Some point is not as it must be; the others it may have. */
  | { readonly kind: "unfit"; readonly points: number; readonly reason: string };

/** @throws {Trouble} when it takes nothing for now */
export function readOutcome(answer: Answer, connection: DatabaseConnection): Outcome {
  const { status, body, retryAfter_s } = answer;
  const said = errorIn(body);
  if (status === 204) return { kind: "taken" };
  if (status === 413) return { kind: "too-large" };
  if (status === 400) {
    const partly = /^partial write: (.*?)(?: dropped=(\d+))?$/s.exec(said);
    const points = Number(partly?.[2] ?? 0);
    const reason = partly?.[1] ?? said;
    if (reason.startsWith("points beyond retention policy")) return { kind: "too-old", points };
    if (/limit exceeded/.test(reason)) throw refused(connection, `it is full: ${reason}; raise that limit there`);
    if (partly !== null || said.startsWith("unable to parse")) return { kind: "unfit", points, reason };
  }
  throw troubleIn(answer, connection, said, retryAfter_s);
}

/** @throws {Trouble} unless a question was answered; returns the answer's rows, column by name */
export function readRows(answer: Answer, connection: DatabaseConnection): Record<string, unknown>[] {
  const { status, body, retryAfter_s } = answer;
  if (status !== 200) throw troubleIn(answer, connection, errorIn(body), retryAfter_s);
  const [result] = resultsIn(body) ?? [];
  if (result === undefined)
    throw refused(connection, `it answered ${inShort(body)}; is forward.url that of an InfluxDB?`);
  if (typeof result.error === "string") throw troubleIn({ ...answer, status: 404 }, connection, result.error, null);
  const [{ columns, values } = { columns: [], values: [] }] = result.series ?? [];
  return values.map((row) => Object.fromEntries(columns.map((name, i) => [name, row[i]])));
}

function troubleIn(
  { status }: Answer,
  connection: DatabaseConnection,
  said: string,
  retryAfter_s: number | null,
): Trouble {
  const { username, database } = connection;
  if (status === 401) {
    const who = username === undefined ? "without a user" : `as ${username}`;
    return refused(
      connection,
      `it does not let this board in ${who}; check forward.username and forward.password_file`,
    );
  }
  if (status === 403) return refused(connection, `${username ?? "this board"} may not do that there: ${said}`, status);
  if (/^database not found/.test(said)) {
    return refused(connection, `there is no database ${quoted(said) ?? database} there; set it up first`, 404);
  }
  if (/^retention policy not found/.test(said)) {
    return refused(connection, `the database ${database} there has not been set up: ${said}`);
  }
  if (status === 429 || status >= 500) {
    return new Trouble("away", `${hostOf(connection)}: it answered ${status}: ${inShort(said)}`, { retryAfter_s });
  }
  return refused(connection, `it answered ${status}: ${inShort(said)}; is forward.url that of an InfluxDB?`);
}

function refused(connection: DatabaseConnection, message: string, status: number | null = null): Trouble {
  return new Trouble("refused", `${hostOf(connection)}: ${message}`, { status });
}

function hostOf({ url }: DatabaseConnection): string {
  return new URL(url).host;
}

function quoted(text: string): string | null {
  return /"([^"]+)"/.exec(text)?.[1] ?? null;
}

function inShort(text: string): string {
  const line = text.replaceAll(/\s+/g, " ").trim();
  return line.length > 160 ? `${line.slice(0, 160)}…` : line === "" ? "nothing" : line;
}

function errorIn(body: string): string {
  const json = parsed(body);
  return typeof json === "object" && json !== null && "error" in json ? String(json.error) : body;
}

interface Result {
  readonly error?: unknown;
  readonly series?: readonly {
    readonly columns: readonly string[];
    readonly values: readonly (readonly unknown[])[];
  }[];
}

function resultsIn(body: string): readonly Result[] | null {
  const json = parsed(body);
  const isAnswer = typeof json === "object" && json !== null && "results" in json && Array.isArray(json.results);
  return isAnswer ? (json.results as Result[]) : null;
}

function parsed(body: string): unknown {
  try {
    return JSON.parse(body);
  } catch {
    return null;
  }
}
