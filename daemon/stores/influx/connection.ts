// How to reach the shared database: the keys that all who write to it or read from it share, and what is read from files
// for them. Talking to it is database-link.ts.

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import * as z from "zod";
import { has, report } from "../../config/cross-check.ts";
import { describeFound } from "../../config/explain-issue.ts";
import { StoreError } from "../store-error.ts";

/** Spread into a strict object of one's own: `z.strictObject({ ...databaseConnectionKeys(), basin: basinName })`. */
export const databaseConnectionKeys = () => ({
  url: z
    .url({
      protocol: /^https?$/,
      error: ({ input }) =>
        `expected a database's address such as https://database.local:8086, found ${describeFound(input)}`,
    })
    .describe("address of the database: `https://`, or `http://` where nobody can listen"),
  database: z
    .string()
    .regex(/^[A-Za-z0-9_-]{1,64}$/, "expected letters, digits, _ and -, at most 64")
    .default("undercroft")
    .describe("name of the database there"),
  username: z.string().min(1).optional().describe("user name at the database"),
  password_file: z.string().min(1).optional().describe("file whose first line is the password"),
  tls: z
    .strictObject({ ca: z.string().min(1).describe("file with the authority's certificate (PEM)") })
    .optional()
    .describe("for `https://` with a certificate that the system's authorities do not vouch for"),
  timeout: z.int().min(1).max(600).default(30).describe("seconds to wait for an answer"),
});

export type DatabaseConnection = Readonly<z.output<z.ZodObject<ReturnType<typeof databaseConnectionKeys>>>>;

/** Name of a basin in the shared database and in MQTT topics. */
export const basinName = z
  .string()
  .regex(
    /^[a-z0-9](?:[a-z0-9-]{0,62}[a-z0-9])?$/,
    "expected small letters, digits and -, at most 64, such as elm-street-7",
  );

/** Beside the database: whose name a basin's is, which every board may read. */
export function namesDatabase(database: string): string {
  return `${database}_names`;
}

/** What one key cannot say alone; for `superRefine(checkDatabaseConnection, evenIfIncomplete)`. */
export function checkDatabaseConnection(connection: unknown, context: z.core.$RefinementCtx): void {
  const given = (key: string) => has(connection, key);
  if (given("username") !== given("password_file")) {
    report(context, [], "expected username and password_file together, found only one of them");
  }
}

export interface Credentials {
  readonly password: string | undefined;
  readonly ca: Buffer | undefined;
}

/**
 * @param baseFolder where relative paths start
 * @throws {StoreError} when a file cannot be read
 */
export function readCredentials({ password_file, tls }: DatabaseConnection, baseFolder: string): Credentials {
  const read = (key: string, path: string) => {
    try {
      return readFileSync(resolve(baseFolder, path));
    } catch (cause) {
      throw new StoreError(`${key}: cannot read ${path}: ${cause instanceof Error ? cause.message : cause}`, { cause });
    }
  };
  return {
    password:
      password_file === undefined ? undefined : read("password_file", password_file).toString().split(/\r?\n/)[0],
    ca: tls === undefined ? undefined : read("tls.ca", tls.ca),
  };
}
