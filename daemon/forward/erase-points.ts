// Takes points out of the database, from one time up to before another; those who may write may do that too.

import type { DatabaseConnection } from "../stores/influx/connection.ts";
import { nanoseconds } from "../stores/influx/instant.ts";
import { readRows } from "./answer-in-words.ts";
import type { Answer, DatabaseClient } from "./database-client.ts";
import type { Erase } from "./derived-round.ts";

/**
 * @param heard is told the answer
 * @throws {Trouble} when it does not do it
 */
export async function erasePoints(
  client: Pick<DatabaseClient, "query">,
  connection: DatabaseConnection,
  basin: string,
  { measurement, from_s, to_s }: Erase,
  heard: (answer: Answer) => void,
): Promise<void> {
  const bounds = [
    ...(Number.isFinite(from_s) ? [` AND time >= ${nanoseconds(from_s)}`] : []),
    ...(Number.isFinite(to_s) ? [` AND time < ${nanoseconds(to_s)}`] : []),
  ];
  const answer = await client.query(`DELETE FROM "${measurement}" WHERE basin = '${basin}'${bounds.join("")}`);
  heard(answer);
  readRows(answer, connection);
}
