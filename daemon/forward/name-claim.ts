// Whose name a basin's is: no two boards forward under the same. Each writes a claim, stamped by the database's own clock,
// into a small database beside the large one, and reads all claims of that name: the first has it, until another says that
// it replaces that one. Which process forwards stands there too, so that a copied card is noticed.

import { setTimeout as sleep } from "node:timers/promises";
import { type DatabaseConnection, namesDatabase } from "../stores/influx/connection.ts";
import { readOutcome, readRows } from "./answer-in-words.ts";
import type { Answer, DatabaseClient } from "./database-client.ts";
import { Trouble } from "./trouble.ts";

export interface ClaimOptions {
  readonly basin: string;
  readonly board: string;
  /** Of the board that this one takes the place of. */
  readonly replaces: string | null;
  /** Of this run of the daemon, hexadecimal digits. */
  readonly run: string;
  /** Two that claim at once see each other after so long. */
  readonly settle_ms?: number;
  heard(answer: Answer): void;
}

export interface NameClaim {
  /**
   * Makes sure that the name is this board's.
   * @returns whether it had been before: if not, the database has nothing of it; null when that cannot be found out
   * @throws {Trouble} when it is another's
   */
  check(): Promise<boolean | null>;
}

/** In the order of the database's clock, to which it was left to stamp them. */
interface Claim {
  readonly board: string;
  readonly replaces: string | null;
}

export function nameClaim(client: DatabaseClient, connection: DatabaseConnection, options: ClaimOptions): NameClaim {
  const { basin, board, replaces, run, settle_ms = 2000, heard } = options;
  const names = { ...connection, database: namesDatabase(connection.database) };
  let begun = false;

  async function write(line: string): Promise<void> {
    const answer = await client.write("", line, names.database);
    heard(answer);
    readOutcome(answer, names);
  }

  async function ask(measurement: string): Promise<Record<string, unknown>[]> {
    const answer = await client.query(`SELECT * FROM "${measurement}" WHERE basin = '${basin}'`, names.database);
    heard(answer);
    return readRows(answer, names);
  }

  async function claims(): Promise<Claim[]> {
    return (await ask("claim")).map((row) => ({
      board: String(row.board),
      replaces: row.replaces ? String(row.replaces) : null,
    }));
  }

  async function claim(): Promise<boolean> {
    const before = await claims();
    const isKnown = before.some((one) => one.board === board && (replaces === null || one.replaces === replaces));
    const isFree = before.length === 0 || (replaces !== null && ownerOf(before) === replaces);
    if (!isKnown && isFree) {
      await write(`claim,basin=${basin},board=${board} replaces="${replaces ?? ""}"`);
      await sleep(settle_ms);
    }
    const owner = ownerOf(isKnown || !isFree ? before : await claims());
    if (owner !== null && owner !== board) throw isAnothers(owner);
    return isKnown;
  }

  /** The newest run of this board goes on; one that finds another in its place stops. */
  async function checkRun(): Promise<void> {
    if (!begun) await write(`run,basin=${basin},board=${board} run="${run}" 0`);
    begun = true;
    const rows = await ask("run");
    const now = rows.find((row) => row.board === board)?.run;
    if (now === undefined || now === run) return;
    throw new Trouble(
      "refused",
      `another board forwards as ${basin} with this one's record: a card was copied. Give one of them a new record and another forward.basin`,
    );
  }

  function isAnothers(owner: string): Trouble {
    return new Trouble(
      "refused",
      `the name ${basin} is that of board ${owner}, and this one is board ${board}; give it another forward.basin, or, where it takes that one's place, say forward.replaces: ${owner}`,
    );
  }

  return {
    async check() {
      try {
        const isKnown = await claim();
        await checkRun();
        return isKnown;
      } catch (error) {
        // No such database, or this user may not read it.
        if (error instanceof Trouble && (error.status === 404 || error.status === 403)) return null;
        throw error;
      }
    },
  };
}

/** The first, or who has said since that it replaces that one; claims in the order in which they were made. */
export function ownerOf(claims: readonly Claim[]): string | null {
  const [first, ...others] = claims;
  return others.reduce((owner, { board, replaces }) => (replaces === owner ? board : owner), first?.board ?? null);
}
