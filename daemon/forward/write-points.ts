// Brings points into the database, whatever it says to them: what it does not keep so long is counted, one that it will
// not have is found among the others and left out, named.

import type { DatabaseConnection } from "../stores/influx/connection.ts";
import type { Point } from "../stores/influx/points.ts";
import { readOutcome } from "./answer-in-words.ts";
import type { Answer, DatabaseClient } from "./database-client.ts";

export interface Written {
  /** Points that are older than the database keeps them. */
  readonly tooOld: number;
  /** Points that it will not have, and why. */
  readonly unfit: number;
  readonly reason: string | null;
}

/** It is too much at once: with half of it, it may go. */
export class TooLarge extends Error {}

/** So many are looked for among the others; of more it is only said how many there are. */
const mostLookedFor = 10;

export function lineOf({ measurement, tags, fields, timestamp }: Point): string {
  let line: string = measurement;
  for (const name in tags) line += `,${name}=${tags[name]}`;
  let separator = " ";
  for (const name in fields) {
    line += `${separator}${name}=${fields[name]}`;
    separator = ",";
  }
  return `${line} ${timestamp}`;
}

/**
 * @param heard is told each answer
 * @param timed does the work that takes the main thread's time
 * @param splits what is too much at once goes in halves, for a caller that has no smaller round to come with; without it
 *   the caller is told, since a smaller round is less to build as well
 * @throws {Trouble} when it takes nothing for now, {TooLarge}
 */
export async function writePoints(
  client: Pick<DatabaseClient, "write">,
  connection: DatabaseConnection,
  points: readonly Point[],
  heard: (answer: Answer) => void,
  timed: <T>(work: () => T) => T = (work) => work(),
  splits = false,
): Promise<Written> {
  const found = { tooOld: 0, unfit: 0, reason: null as string | null };
  for (const policy of ["raw", "forever"]) {
    const some = points.filter((point) => point.policy === policy);
    if (some.length > 0) await write(some, !splits);
  }
  return found;

  async function write(some: readonly Point[], mayComeSmaller: boolean): Promise<void> {
    const lines = timed(() => some.map(lineOf).join("\n"));
    const answer = await client.write(some[0]?.policy ?? "", lines);
    heard(answer);
    const outcome = readOutcome(answer, connection);
    if (outcome.kind === "too-large" && some.length > 1 && mayComeSmaller) throw new TooLarge();
    if (outcome.kind === "too-old") found.tooOld += outcome.points;
    if (outcome.kind !== "unfit" && outcome.kind !== "too-large") return;
    const reason = outcome.kind === "unfit" ? outcome.reason : "one point alone is more than it takes";
    if (some.length === 1 || (outcome.kind === "unfit" && found.unfit >= mostLookedFor)) {
      found.unfit += outcome.kind === "unfit" ? Math.min(some.length, Math.max(1, outcome.points)) : 1;
      found.reason ??= `${reason} (${lineOf(some[0] as Point).slice(0, 200)})`;
      return;
    }
    const half = Math.ceil(some.length / 2);
    await write(some.slice(0, half), false);
    await write(some.slice(half), false);
  }
}
