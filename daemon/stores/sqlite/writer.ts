// When things are written: readings together and soon, derived rows at once and for good, all of it in order; and
// what happens when the disk will not take them.

import type { DatabaseSync } from "node:sqlite";
import type { Reading } from "../../../analysis/readings/reading.ts";
import type { StoreHealth, StoreOptions } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { faultInWords } from "./fault.ts";
import type { Tables } from "./tables.ts";
import { clearDerived, giveUpOldest, nothingDerived, nothingWaiting, type Waiting } from "./waiting.ts";

/** Readings are written in transactions of at most so many: a disk with little room left takes what it can. */
const mostInOneTransaction = 5000;

/** `soon`: safe from the process's death. `durable`: on the card, safe from the power's too. */
type Durability = "soon" | "durable";

export interface Writer {
  readonly waiting: Waiting;
  /** Readings that are rows. */
  written(): number;
  append(reading: Reading): void;
  /** Writes what waits, now that something derived has joined it: at once and for good, or `soon` with the readings. */
  save(durability: Durability): void;
  flush(): void;
  /** Empties what is derived and fills it anew, whole or not at all. */
  rebuild(fill: () => void): void;
  health(): StoreHealth;
  close(): void;
}

export function writer(database: DatabaseSync, tables: Tables, options: StoreOptions): Writer {
  const { writeAfter_ms = 900, retryAfter_ms = 1000, mostHeld = 200_000 } = options;
  const { now_s = () => Date.now() / 1000, log = () => {} } = options;
  const waiting = nothingWaiting();
  const transaction = transactions(database);
  let written = tables.reading.count();
  let fault: { readonly error: string; readonly since_s: number } | null = null;
  let lost = 0;
  let timer: NodeJS.Timeout | undefined;
  let rebuilding = false;

  const writeAfter = (delay_ms: number) => {
    timer ??= setTimeout(() => write(fault === null ? "soon" : "durable"), delay_ms).unref();
  };

  const write = (durability: Durability) => {
    if (rebuilding) return;
    clearTimeout(timer);
    timer = undefined;
    try {
      while (waiting.readings.length > mostInOneTransaction) writeReadings("soon");
      writeReadings(durability);
      if (fault !== null) carryOn(fault.since_s);
    } catch (error) {
      hold(error);
    }
  };

  /** Some readings; with the last of them what was derived from them, so that it is never without its readings. */
  const writeReadings = (durability: Durability) => {
    const some = waiting.readings.slice(0, mostInOneTransaction);
    const last = some.length === waiting.readings.length;
    if (last && some.length === 0 && nothingDerived(waiting)) return;
    transaction(durability, () => {
      for (const [i, reading] of some.entries()) {
        tables.reading.insert(written + i + 1, reading);
        tables.rollups.add(written + i + 1, reading.time_s, reading.level_m);
      }
      tables.rollups.writeFinished();
      if (last) tables.putDerived(waiting);
    });
    waiting.readings.splice(0, some.length);
    written += some.length;
    if (last) clearDerived(waiting);
  };

  const hold = (error: unknown) => {
    const words = faultInWords(error);
    tables.rollups.revert(); // they had taken in what was not written
    if (words === null) throw error;
    if (fault === null) log(`store: ${words}; readings are held in memory until it clears`);
    fault = { error: words, since_s: fault?.since_s ?? now_s() };
    lost += giveUpOldest(waiting, mostHeld, written);
    writeAfter(retryAfter_ms);
  };

  const carryOn = (since_s: number) => {
    fault = null;
    log(`store: writing again after ${Math.round(now_s() - since_s)} s; ${lost} readings were lost since the start`);
  };

  return {
    waiting,
    written: () => written,
    append(reading) {
      if (!database.isOpen) throw new Error("the store is closed; readings must stop before it");
      waiting.readings.push(reading);
      if (fault !== null) lost += giveUpOldest(waiting, mostHeld, written);
      else if (waiting.readings.length >= mostInOneTransaction) write("soon");
      else writeAfter(writeAfter_ms);
    },
    save(durability) {
      if (rebuilding) {
        tables.putDerived(waiting);
        clearDerived(waiting);
      } else if (fault !== null) {
        return; // it is written in its turn, when the fault has cleared
      } else if (durability === "durable" || waiting.inflow.size() >= mostInOneTransaction) {
        write(durability);
      } else {
        writeAfter(writeAfter_ms);
      }
    },
    flush: () => write("durable"),
    rebuild(fill) {
      write("durable");
      if (fault !== null) throw new StoreError(`the store cannot be rebuilt: ${fault.error}`);
      rebuilding = true;
      try {
        transaction("durable", () => {
          tables.clearDerived();
          tables.rollups.rebuild();
          fill();
        });
      } catch (error) {
        tables.rollups.revert();
        throw error;
      } finally {
        rebuilding = false;
        if (waiting.readings.length > 0) writeAfter(writeAfter_ms);
      }
    },
    health: () => ({
      state: fault === null ? "writing" : "holding",
      held: fault === null ? 0 : waiting.readings.length,
      lost,
      error: fault?.error ?? null,
      since_s: fault?.since_s ?? null,
    }),
    close() {
      write("durable");
      clearTimeout(timer);
      if (fault === null) tidyUp();
      else log(`store: closed while it could not write; ${waiting.readings.length} readings are lost`);
    },
  };

  function tidyUp(): void {
    try {
      transaction("durable", tables.rollups.writeAll);
    } catch (error) {
      if (faultInWords(error) === null) throw error; // else no harm: the next start finds them in the readings
    }
  }
}

/** Runs work in a transaction of the wanted durability; an error takes all of it back. */
function transactions(database: DatabaseSync): (durability: Durability, work: () => void) => void {
  let current: Durability | null = null;
  return (durability, work) => {
    if (durability !== current) {
      // With a write-ahead log FULL waits for the card at every commit, NORMAL only when the log is folded in.
      database.exec(`PRAGMA synchronous = ${durability === "durable" ? "FULL" : "NORMAL"}`);
      current = durability;
    }
    database.exec("BEGIN IMMEDIATE");
    try {
      work();
      database.exec("COMMIT");
    } catch (error) {
      if (database.isTransaction) database.exec("ROLLBACK"); // SQLite has done it by itself when the disk is full
      throw error;
    }
  };
}
