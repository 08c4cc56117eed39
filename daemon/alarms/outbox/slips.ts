// What the database on the card is still to take, kept on the card before: one write is waited for, where the database
// waits for four, and a message can leave sooner. The database takes it soon after.

import { openSlots } from "../../stores/recent/slots.ts";
import { keptStatements, type Statement } from "./statement.ts";

export interface Slips {
  /** On the card when it returns; false, and nothing done, where there is no room. */
  put(statements: readonly Statement[]): boolean;
  /** Number of the newest. */
  newest(): number;
  /** The database has all of them. */
  forget(): void;
  close(): void;
}

/**
 * @param path   of the database, beside which they lie
 * @param owner  identity of the database: what another one left counts for nothing
 * @param taken  number of the newest that the database has
 * @returns with what it does not have, oldest first
 */
export function openSlips(path: string, owner: string, taken: number): { slips: Slips; late: Statement[] } {
  const { file, records } = openSlots(slipsPath(path), owner, taken);
  const late = records.filter(({ sequence }) => sequence > taken);
  return {
    slips: {
      put(statements) {
        const body = Buffer.from(JSON.stringify(statements));
        if (!file.hasRoom(body.length)) return false;
        file.put(body, false);
        return true;
      },
      newest: file.sequence,
      forget: file.forget,
      close: file.close,
    },
    late: late.flatMap(({ body }) => keptStatements.parse(JSON.parse(Buffer.from(body).toString()))),
  };
}

export function slipsPath(path: string): string {
  return `${path}.recent`;
}
