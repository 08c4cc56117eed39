// Two databases that say the same, one on the card and one in memory. What is written is on the card before the call
// returns; while the card takes nothing (full, read-only, failing, locked) memory alone has it, and the alarms go on.

import type { DatabaseSync } from "node:sqlite";
import { faultCode, faultInWords } from "../../stores/sqlite/fault.ts";
import { addRows, inMemory, openFile, replaceRows, setAside, UnusableFile } from "./outbox-file.ts";

export interface CardAndMemory {
  /** To be read. */
  readonly memory: DatabaseSync;
  /** Does the same to both, each in one transaction. */
  write(work: (database: DatabaseSync) => void): void;
  /** Tries to bring to the card what it has not taken. */
  retry(): void;
  /** Why the card takes nothing; null while it does. */
  problem(): string | null;
  close(): void;
}

/** At the start there is time to wait for whoever has the file; later nothing may stand still for it. */
const atStart_ms = 2000;
const later_ms = 50;

/** Never throws for a file that cannot be used: nobody would be watching then. */
export function openCardAndMemory(path: string, now_s: () => number, log: (line: string) => void): CardAndMemory {
  const memory = inMemory();
  let card: DatabaseSync | null = null;
  /** Whether memory has what the file had. */
  let isLoaded = false;
  let problem: string | null = null;

  function takeUp(wait_ms: number): void {
    let database: DatabaseSync | null = null;
    try {
      database = openFile(path, wait_ms);
      if (!isLoaded && addRows(database, memory) > 0) throw new UnusableFile("it is damaged");
      const wasLoaded = isLoaded;
      isLoaded = true;
      if (wasLoaded || problem !== null) {
        const mine = database;
        inOne(mine, () => replaceRows(memory, mine));
      }
      card = database;
    } catch (error) {
      database?.close();
      if (!(error instanceof UnusableFile) && faultCode(error) !== 11) throw error;
      const aside = setAside(path, now_s());
      const why = (error instanceof Error ? error.message : String(error)).replaceAll(/\s*\n\s*/g, " ");
      log(`alarms: ${path} cannot be used: ${why}. It stands aside as ${aside}; a new one was begun`);
      // Numbers that people may have been given in lost messages are not given again.
      memory.exec(
        "INSERT INTO sqlite_sequence SELECT 'message', 0 WHERE NOT EXISTS (SELECT 1 FROM sqlite_sequence); UPDATE sqlite_sequence SET seq = seq + 1000",
      );
      isLoaded = true;
      const fresh = openFile(path, wait_ms);
      inOne(fresh, () => replaceRows(memory, fresh));
      card = fresh;
    }
  }

  function hold(error: unknown): void {
    const found = faultInWords(error) ?? (error instanceof Error ? error.message : String(error));
    if (problem !== found) log(`alarms: cannot write ${path}: ${found}; held in memory until it can be`);
    problem = found;
    const given = card;
    card = null;
    try {
      given?.close();
    } catch {
      // Its fault has been said.
    }
  }

  try {
    takeUp(atStart_ms);
  } catch (error) {
    hold(error);
    // What stands in a file that cannot be read has numbers, too.
    if (!isLoaded) memory.exec("INSERT INTO sqlite_sequence VALUES ('message', 100000)");
  }
  return {
    memory,
    write(work) {
      if (card !== null) {
        const database = card;
        try {
          inOne(database, () => work(database));
        } catch (error) {
          if (faultCode(error) === null || faultCode(error) === 19) throw error; // a fault of ours, not of the card
          hold(error);
        }
      }
      inOne(memory, () => work(memory));
    },
    retry() {
      if (problem === null) return;
      try {
        takeUp(later_ms);
        log(`alarms: ${path} is written again`);
        problem = null;
      } catch (error) {
        hold(error);
      }
    },
    problem: () => problem,
    close() {
      if (problem !== null) log(`alarms: closed while ${path} could not be written: ${problem}`);
      card?.close();
      memory.close();
    },
  };
}

function inOne(database: DatabaseSync, work: () => void): void {
  database.exec("BEGIN IMMEDIATE");
  try {
    work();
    database.exec("COMMIT");
  } catch (error) {
    // A card that is full has ended it already.
    if (database.isTransaction) database.exec("ROLLBACK");
    throw error;
  }
}
