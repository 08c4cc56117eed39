// Makes the shared database ready: how long it keeps what, who may write there and who may read. Run again it changes only
// what is not so, and says what that was.

import { type DatabaseConnection, namesDatabase } from "./connection.ts";
import { linkToDatabase } from "./database-link.ts";
import type { Row } from "./line-values.ts";

export interface DatabasePlan {
  /** How long the database keeps readings and single stretches of inflow; all else it keeps for ever. */
  readonly keepReadings_s: number;
  readonly users: readonly DatabaseUser[];
}

export interface DatabaseUser {
  readonly name: string;
  readonly password: string;
  /** A board writes and cannot read; the central view reads and cannot write. */
  readonly right: "READ" | "WRITE";
}

const hour_s = 3600;
const day_s = 86_400;

/**
 * @param connection as its administrator
 * @returns what was made or changed, a line each
 * @throws {StoreError} in one sentence
 */
export async function setUpDatabase(
  connection: DatabaseConnection,
  baseFolder: string,
  plan: DatabasePlan,
): Promise<string[]> {
  const { query: run } = await linkToDatabase(connection, baseFolder);
  const { database } = connection;
  const done = [...(await makeDatabases(run, database)), ...(await setUpPolicies(run, database, plan.keepReadings_s))];
  for (const user of plan.users) done.push(...(await setUpUser(run, database, user)));
  return done;
}

type Run = (statement: string) => Promise<readonly Row[]>;

async function makeDatabases(run: Run, database: string): Promise<string[]> {
  const there = (await run("SHOW DATABASES")).map(({ name }) => name);
  const missing = [database, namesDatabase(database)].filter((name) => !there.includes(name));
  for (const name of missing) await run(`CREATE DATABASE ${quoted(name)}`);
  return missing.map((name) => `made database ${name}`);
}

interface PolicyPlan {
  readonly name: string;
  readonly duration_s: number;
  readonly shard_s: number;
  readonly isDefault: boolean;
}

async function setUpPolicies(run: Run, database: string, keepReadings_s: number): Promise<string[]> {
  // What is older goes a shard at a time, so a tenth of the time; in larger ones it packs better, and takes less memory.
  const shard_s = Math.max(hour_s, Math.floor(Math.min(28 * day_s, keepReadings_s / 10) / hour_s) * hour_s);
  const plans: readonly PolicyPlan[] = [
    { name: "raw", duration_s: Math.ceil(keepReadings_s / hour_s) * hour_s, shard_s, isDefault: true },
    { name: "forever", duration_s: 0, shard_s: 364 * day_s, isDefault: false },
  ];
  const there = await run(`SHOW RETENTION POLICIES ON ${quoted(database)}`);
  const done: string[] = [];
  for (const plan of plans) {
    const found = there.find(({ name }) => name === plan.name);
    if (found !== undefined && isSo(found, plan)) continue;
    const keeps = plan.duration_s === 0 ? "INF" : `${plan.duration_s / hour_s}h`;
    const terms = `DURATION ${keeps} REPLICATION 1 SHARD DURATION ${plan.shard_s / hour_s}h${plan.isDefault ? " DEFAULT" : ""}`;
    const verb = found === undefined ? "CREATE" : "ALTER";
    await run(`${verb} RETENTION POLICY ${quoted(plan.name)} ON ${quoted(database)} ${terms}`);
    const before = found === undefined ? "" : `, before ${inDays(secondsOf(found.duration))}`;
    done.push(`policy ${plan.name} keeps ${inDays(plan.duration_s)}${before}`);
  }
  return done;
}

function isSo(found: Row, plan: PolicyPlan): boolean {
  const sameTimes =
    secondsOf(found.duration) === plan.duration_s && secondsOf(found.shardGroupDuration) === plan.shard_s;
  return sameTimes && (found.default === true || !plan.isDefault);
}

async function setUpUser(run: Run, database: string, { name, password, right }: DatabaseUser): Promise<string[]> {
  const users = (await run("SHOW USERS")).map(({ user }) => user);
  const done: string[] = [];
  if (users.includes(name)) {
    await run(`SET PASSWORD FOR ${quoted(name)} = ${text(password)}`);
  } else {
    await run(`CREATE USER ${quoted(name)} WITH PASSWORD ${text(password)}`);
    done.push(`made user ${name}`);
  }
  // What it has there and no more; beside the database a board reads and writes whose name is whose.
  const wanted: readonly (readonly [string, string])[] =
    right === "WRITE"
      ? [
          [database, "WRITE"],
          [namesDatabase(database), "ALL PRIVILEGES"],
        ]
      : [[database, "READ"]];
  const grants = await run(`SHOW GRANTS FOR ${quoted(name)}`);
  const has = new Map(grants.map(({ database: where, privilege }) => [String(where), String(privilege)]));
  for (const [where, privilege] of has) {
    if (privilege === "NO PRIVILEGES" || wanted.some((one) => one[0] === where && one[1] === privilege)) continue;
    await run(`REVOKE ALL ON ${quoted(where)} FROM ${quoted(name)}`);
    done.push(`user ${name} may no longer ${privilege} on ${where}`);
  }
  for (const [where, privilege] of wanted) {
    if (has.get(where) === privilege) continue;
    await run(`GRANT ${privilege.split(" ")[0]} ON ${quoted(where)} TO ${quoted(name)}`);
    done.push(`user ${name} may ${privilege} on ${where}`);
  }
  return done;
}

/** A name, whatever is in it. */
function quoted(name: string): string {
  return `"${name.replaceAll(/["\\]/g, "\\$&").replaceAll("\n", "\\n")}"`;
}

/** A text, whatever is in it. */
function text(value: string): string {
  return `'${value.replaceAll(/['\\]/g, "\\$&").replaceAll("\n", "\\n")}'`;
}

/** As the database says it: `9600h0m0s`, `0s` for ever. */
function secondsOf(duration: unknown): number {
  const [, hours = 0, minutes = 0, seconds = 0] = /^(?:(\d+)h)?(?:(\d+)m)?(?:(\d+)s)?$/.exec(String(duration)) ?? [];
  return Number(hours) * 3600 + Number(minutes) * 60 + Number(seconds);
}

function inDays(duration_s: number): string {
  return duration_s === 0 ? "for ever" : `${Math.round(duration_s / 8640) / 10} days`;
}
