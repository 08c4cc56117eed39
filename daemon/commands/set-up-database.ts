// `undercroft store set-up-database`: makes the database that many boards share ready, and can be run again.

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import type { Command } from "commander";

interface Options {
  readonly database: string;
  readonly admin?: string;
  readonly passwordFile?: string;
  readonly ca?: string;
  readonly keepReadings: string;
  readonly board?: readonly string[];
  readonly reader?: readonly string[];
}

/** @param store the `undercroft store` command */
export function registerSetUpDatabase(store: Command): void {
  store
    .command("set-up-database")
    .summary("make a database that many boards share ready, or bring it up to date")
    .description(
      "Makes the database, how long it keeps what, and its users, as its administrator. Run again it changes only what " +
        "is not so. A board's user may write and not read; a reader, such as the central view, may read and not write.",
    )
    .argument("<url>", "address of the database: https://host:8086")
    .option("--database <name>", "its name there", "undercroft")
    .option("--admin <user>", "its administrator")
    .option("--password-file <file>", "file whose first line is the administrator's password")
    .option("--ca <file>", "file with the certificate (PEM) of the authority that signed the database's")
    .option("--keep-readings <duration>", "single readings are dropped after so long; all else is kept", "400 d")
    .option("--board <user=file...>", "a board's user, and the file whose first line is its password")
    .option("--reader <user=file...>", "one who reads, and the file whose first line is the password")
    .action(setUp);
}

async function setUp(url: string, options: Options): Promise<void> {
  const { StoreError } = await import("../stores/store-error.ts");
  const { setUpDatabase } = await import("../stores/influx/set-up-database.ts");
  try {
    const users = [...usersIn(options.board, "WRITE"), ...usersIn(options.reader, "READ")];
    const keepReadings_s = await durationIn(options.keepReadings);
    const done = await setUpDatabase(await connectionIn(url, options), process.cwd(), { keepReadings_s, users });
    for (const line of done) console.log(line);
    if (done.length === 0) console.log(`${url}: database ${options.database} is as it should be; nothing changed`);
  } catch (error) {
    if (!(error instanceof StoreError) && !(error instanceof Mistake)) throw error;
    console.error(error.message);
    process.exitCode = 2;
  }
}

class Mistake extends Error {}

async function connectionIn(url: string, { database, admin, passwordFile, ca }: Options) {
  const z = await import("zod");
  const { checkDatabaseConnection, databaseConnectionKeys } = await import("../stores/influx/connection.ts");
  const user = {
    ...(admin !== undefined && { username: admin }),
    ...(passwordFile && { password_file: passwordFile }),
  };
  const schema = z.strictObject(databaseConnectionKeys()).superRefine(checkDatabaseConnection);
  const read = schema.safeParse({ url, database, ...user, ...(ca && { tls: { ca } }) });
  if (read.success) return read.data;
  throw new Mistake(read.error.issues.map(({ path, message }) => [...path, message].join(": ")).join("\n"));
}

async function durationIn(text: string): Promise<number> {
  const { quantity } = await import("../config/quantity.ts");
  const read = quantity("duration", { min: "7 d" }).safeParse(text);
  if (read.success) return read.data;
  throw new Mistake(`--keep-readings: ${read.error.issues[0]?.message}`);
}

function* usersIn(given: readonly string[] = [], right: "READ" | "WRITE") {
  for (const one of given) {
    const at = one.indexOf("=");
    const [name, file] = [one.slice(0, at), one.slice(at + 1)];
    if (at < 1 || file === "") throw new Mistake(`expected user=file, such as elm-street-7=elm.password, found ${one}`);
    yield { name, password: firstLineOf(file), right };
  }
}

function firstLineOf(file: string): string {
  try {
    const [line = ""] = readFileSync(resolve(file), "utf8").split(/\r?\n/);
    if (line !== "") return line;
  } catch (error) {
    throw new Mistake(`${file}: cannot be read: ${error instanceof Error ? error.message : error}`);
  }
  throw new Mistake(`${file}: expected a password as its first line, found nothing`);
}
