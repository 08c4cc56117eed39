// Passwords: made once, kept in a file of their own, never shown and never written over.

import { randomBytes } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { type Access, keepFile } from "./keep-file.ts";
import { Mistake } from "./mistake.ts";

const bytes = 24;

/** The password that the file holds; a new one where there is no file. @throws {Mistake} when the file holds none that will do */
export function secretIn(path: string, access: Access): string {
  const secret = existsSync(path)
    ? readFileSync(path, "utf8").split("\n")[0]
    : randomBytes(bytes).toString("base64url");
  if (secret === undefined || !/^[\w-]{16,}$/.test(secret)) {
    const found = secret ? "something else" : "an empty line";
    const expected = "expected a password of at least 16 letters, digits, - and _";
    throw new Mistake(`${path}: ${expected}, found ${found}; remove the file, and a new one is made`);
  }
  keepFile(path, `${secret}\n`, access);
  return secret;
}
