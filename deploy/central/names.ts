// The names that a board and a machine may have. A board's name is at once its account at broker and database, its
// topics and its tag in the record, so it has to be plain in all of them. Pure.

import { isIP } from "node:net";
import { Mistake } from "./mistake.ts";

/** Accounts of the machine itself. */
export const centralAccount = "central";
export const administrator = "administrator";
const reserved: readonly string[] = [centralAccount, administrator];

const mostLetters = 64;

/** @throws {Mistake} naming what is wrong with it */
export function boardName(text: string): string {
  const expected = `expected 1 to ${mostLetters} small letters, digits and single dashes between them, such as elm-street-12`;
  if (!/^[a-z0-9]+(-[a-z0-9]+)*$/.test(text) || text.length > mostLetters) {
    throw new Mistake(`board ${JSON.stringify(text)}: ${expected}`);
  }
  if (reserved.includes(text)) {
    throw new Mistake(`board ${JSON.stringify(text)}: the machine itself uses this name; take another`);
  }
  return text;
}

/** A name or address under which boards and browsers reach the machine. @throws {Mistake} */
export function machineName(text: string): string {
  const label = "[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?";
  const isName = text.length <= 253 && new RegExp(`^${label}(\\.${label})*$`).test(text) && !/(^|\.)[0-9]+$/.test(text);
  if (isIP(text) !== 0 || isName) return text;
  const expected = "expected a host name in small letters or an IP address, without protocol and port";
  throw new Mistake(`--name ${JSON.stringify(text)}: ${expected}`);
}
