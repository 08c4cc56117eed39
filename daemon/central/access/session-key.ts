// The key that signs log-ins: from its file, which is made where it is missing, so that a restart logs nobody out.

import { randomBytes } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { CannotStart } from "../../cannot-start.ts";

const key_bytes = 32;

/**
 * @param file null: a new key each time
 * @throws {CannotStart} when the file can neither be read nor made, or holds no key
 */
export function sessionKey(file: string | null): Buffer {
  if (file === null) return randomBytes(key_bytes);
  const key = readOrMake(file);
  if (key.length < key_bytes) {
    throw new CannotStart(
      `server.session_key_file: expected ${key_bytes} bytes in base64url or more in ${file}, found ${key.length}`,
    );
  }
  return key;
}

function readOrMake(file: string): Buffer {
  try {
    return Buffer.from(readFileSync(file, "utf8").trim(), "base64url");
  } catch (error) {
    if (!isMissing(error)) throw cannot("read", file, error);
  }
  try {
    const made = randomBytes(key_bytes);
    writeFileSync(file, `${made.toString("base64url")}\n`, { flag: "wx", mode: 0o600 });
    return made;
  } catch (error) {
    throw cannot("make", file, error);
  }
}

function isMissing(error: unknown): boolean {
  return error instanceof Error && "code" in error && error.code === "ENOENT";
}

function cannot(what: string, file: string, error: unknown): CannotStart {
  const why = error instanceof Error ? error.message : error;
  return new CannotStart(`server.session_key_file: cannot ${what} ${file}: ${why}`, { cause: error });
}
