// What the database on the card is still to take, kept on the card before: one write is waited for, where the database
// waits for four, and a message can leave sooner. The database takes it soon after.

import { openSlots } from "../../stores/recent/slots.ts";
import { keptStatements, type Statement } from "./statement.ts";

export interface Slips {
  /**
   * On the card when it returns; false, and nothing done, where there is no room.
   *
   * @param insteadOfLast what the slip before it says is not so
   */
  put(statements: readonly Statement[], insteadOfLast: boolean): boolean;
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
      put(statements, insteadOfLast) {
        const body = Buffer.from(JSON.stringify(insteadOfLast ? [isNotSo, ...statements] : statements));
        if (!file.hasRoom(body.length)) return false;
        file.put(body, false);
        return true;
      },
      newest: file.sequence,
      forget: file.forget,
      close: file.close,
    },
    late: stillSo(late.map(({ body }) => keptStatements.parse(JSON.parse(Buffer.from(body).toString())))),
  };
}

/** At the head of a slip that takes back the one before it. */
const isNotSo: Statement = ["-- instead of the slip before"];

function stillSo(slips: readonly Statement[][]): Statement[] {
  const takesBack = (slip: readonly Statement[] | undefined) => slip?.[0]?.[0] === isNotSo[0];
  return slips.flatMap((slip, i) => (takesBack(slips[i + 1]) ? [] : takesBack(slip) ? slip.slice(1) : slip));
}

export function slipsPath(path: string): string {
  return `${path}.recent`;
}
