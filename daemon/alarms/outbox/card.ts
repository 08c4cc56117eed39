// The outbox on the card: its database, and the slips beside it that are written first. Throws what SQLite or the system
// says when the card takes nothing; what follows from that is for others.

import { statSync } from "node:fs";
import type { DatabaseSync } from "node:sqlite";
import { faultCode } from "../../stores/sqlite/fault.ts";
import { emptyTables, openFile } from "./outbox-file.ts";
import { openSlips, type Slips } from "./slips.ts";
import { inOne, prepared, run, type Statement } from "./statement.ts";

export interface Card {
  /** To be read: what it has without what is late. */
  readonly database: DatabaseSync;
  /** On slips of before, and not in the database: oldest first. */
  readonly late: readonly Statement[];
  /** On the card when it returns, in place of what was put ahead and is not confirmed. */
  put(statements: readonly Statement[]): void;
  /**
   * On the card when it returns, as what is put is. False, and nothing there: slips, from which alone it could be taken
   * back, do not take it.
   */
  putAhead(statements: readonly Statement[]): boolean;
  /** What was put ahead is so. */
  confirm(): void;
  /** Into the database what is on slips only; not while something is there ahead. */
  fold(): void;
  /** Makes it hold what these make of an empty one, and nothing else. */
  bringUp(statements: readonly Statement[]): void;
  /** Its file was taken away, or there is another one in its place. */
  isGone(): boolean;
  /** What is on slips stays there. */
  close(): void;
}

/** @throws {UnusableFile} and what SQLite or the system says */
export function openCard(path: string, wait_ms: number): Card {
  const database = openFile(path, wait_ms);
  try {
    return cardOf(path, database);
  } catch (error) {
    database.close();
    throw error;
  }
}

function cardOf(path: string, database: DatabaseSync): Card {
  const file = statSync(path).ino;
  const ready = prepared(database);
  const { owner } = database.prepare("SELECT owner FROM slips").get() as { owner: string };
  const open = () => {
    const { taken } = ready("SELECT taken FROM slips").get() as { taken: number };
    return openSlips(path, owner, taken);
  };
  const { late, ...first } = open();
  let slips: Slips | null = first.slips;
  let pending: Statement[] = [];
  /** On the newest slip, and not so yet. */
  let ahead: readonly Statement[] | null = null;

  /** A fault of the slips alone is none: the database still takes it. */
  function onSlip(statements: readonly Statement[]): boolean {
    try {
      slips ??= open().slips;
      return slips.put(statements, ahead !== null);
    } catch (error) {
      if (faultCode(error) === null) throw error;
      slips?.close();
      slips = null; // whether it is there all the same is seen when they are opened again
      return false;
    }
  }

  function intoDatabase(work: () => void): void {
    slips ??= open().slips;
    const has = slips;
    inOne(database, () => {
      work();
      ready("UPDATE slips SET taken = ?").run(has.newest());
    });
    pending = [];
    has.forget();
  }

  return {
    database,
    late,
    put(statements) {
      const isKept = onSlip(statements);
      ahead = null;
      pending.push(...statements);
      if (!isKept) intoDatabase(() => run(ready, pending));
    },
    putAhead(statements) {
      if (onSlip(statements)) ahead = statements;
      else intoDatabase(() => run(ready, pending)); // then a slip that is there all the same counts for nothing
      return ahead !== null;
    },
    confirm() {
      pending.push(...(ahead ?? []));
      ahead = null;
    },
    fold() {
      if (ahead === null && pending.length > 0) intoDatabase(() => run(ready, pending));
    },
    bringUp(statements) {
      intoDatabase(() => {
        emptyTables(database);
        run(ready, statements);
      });
    },
    isGone: () => statSync(path, { throwIfNoEntry: false })?.ino !== file,
    close() {
      slips?.close();
      database.close();
    },
  };
}
