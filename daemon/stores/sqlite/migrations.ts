// The schema's versions, each as the step from the one before. A step that has been released is never edited: boards
// carry files of every version.

import type { DatabaseSync } from "node:sqlite";
import { inflowIntoParts } from "./inflow-into-parts.ts";
import { rowsIntoChunks } from "./rows-into-chunks.ts";

/**
 * SQL, done whole or not at all; or work that goes bit by bit, is taken up again where it was cut off, and at its end
 * writes the new version itself.
 */
export type Migration = string | ((database: DatabaseSync, version: number) => void);

/** Step n brings a file from version n to n + 1; the version stands in the file's `user_version`. */
export const migrations: readonly Migration[] = [
  // `switches`: pumpOn, floatOn, highFloat, mainsOn as digits to the base 3 (0 not read, 1 off, 2 on), highest first.
  // Readings need no index on time: `minute` and `hour` know which of them fall into which stretch of time.
  `
  CREATE TABLE reading (
    nth INTEGER PRIMARY KEY, time_s REAL NOT NULL, level_m REAL, switches INTEGER NOT NULL,
    rain_m REAL, temperature_c REAL, pumpCurrent_a REAL, pumpPower_w REAL
  ) STRICT;

  CREATE TABLE minute (
    bucket INTEGER PRIMARY KEY, firstNth INTEGER NOT NULL, lastNth INTEGER NOT NULL, from_s REAL NOT NULL,
    to_s REAL NOT NULL, levels INTEGER NOT NULL, minimum_m REAL, maximum_m REAL, sum_m REAL NOT NULL
  ) STRICT;
  CREATE TABLE hour (
    bucket INTEGER PRIMARY KEY, firstNth INTEGER NOT NULL, lastNth INTEGER NOT NULL, from_s REAL NOT NULL,
    to_s REAL NOT NULL, levels INTEGER NOT NULL, minimum_m REAL, maximum_m REAL, sum_m REAL NOT NULL
  ) STRICT;
  CREATE TABLE rolledUp (id INTEGER PRIMARY KEY CHECK (id = 1), readings INTEGER NOT NULL) STRICT;
  INSERT INTO rolledUp VALUES (1, 0);

  CREATE TABLE cycle (
    startedAt_s REAL NOT NULL PRIMARY KEY, stoppedAt_s REAL NOT NULL, run_s REAL NOT NULL, rest_s REAL,
    startLevel_m REAL, stopLevel_m REAL,
    inflow_m3s REAL, uInflow_m3s REAL, inflowDegreesOfFreedom REAL, inflowMethod TEXT,
    pumpRate_m3s REAL, uPumpRate_m3s REAL, pumpRateDegreesOfFreedom REAL, drainBack_m3 REAL
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE finding (
    kind TEXT NOT NULL, from_s REAL NOT NULL, to_s REAL, severity TEXT NOT NULL, evidence TEXT NOT NULL,
    message TEXT NOT NULL, PRIMARY KEY (kind, from_s)
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE inflow (
    from_s REAL NOT NULL PRIMARY KEY, to_s REAL NOT NULL, inflow_m3s REAL NOT NULL, uInflow_m3s REAL NOT NULL
  ) STRICT, WITHOUT ROWID;
  CREATE TABLE inflowJoined (
    from_s REAL NOT NULL PRIMARY KEY, to_s REAL NOT NULL, inflow_m3s REAL NOT NULL, uInflow_m3s REAL NOT NULL
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE checkpoint (
    id INTEGER PRIMARY KEY CHECK (id = 1), readingsSeen INTEGER NOT NULL, state BLOB NOT NULL
  ) STRICT;
  `,
  // What of the uncertainty of a cycle's flows is not the sensor's noise, as JSON; null when all of it is.
  `
  ALTER TABLE cycle ADD COLUMN inflowParts TEXT;
  ALTER TABLE cycle ADD COLUMN pumpRateParts TEXT;
  `,
  // Two pumps, and what the motor drew. `switches` has further digits above the others: pump2On, float2On (highest
  // first), which read as 'not read' in the rows of before. `rateOf`: 1, 2, or 3 for both.
  `
  ALTER TABLE cycle ADD COLUMN pump1_s REAL;
  ALTER TABLE cycle ADD COLUMN pump2_s REAL;
  ALTER TABLE cycle ADD COLUMN both_s REAL;
  ALTER TABLE cycle ADD COLUMN rateOf INTEGER;
  ALTER TABLE cycle ADD COLUMN runningCurrent_a REAL;
  ALTER TABLE cycle ADD COLUMN sdRunningCurrent_a REAL;
  ALTER TABLE cycle ADD COLUMN runningPower_w REAL;
  ALTER TABLE cycle ADD COLUMN sdRunningPower_w REAL;
  `,
  // Readings in chunks that fill a page (daemon/stores/chunk), `from_s` and `to_s` rounded outwards; levels rolled up by
  // the day: `parts` has its 144 times ten minutes. `record`: the store's name, what the record
  // spans, and up to which batch of the recent ones all is in here.
  `
  CREATE TABLE chunk (
    firstNth INTEGER PRIMARY KEY, readings INTEGER NOT NULL, from_s INTEGER NOT NULL, to_s INTEGER NOT NULL,
    body BLOB NOT NULL
  ) STRICT;
  CREATE TABLE day (
    day INTEGER PRIMARY KEY, firstNth INTEGER NOT NULL, lastNth INTEGER NOT NULL, levels INTEGER NOT NULL,
    minimum_m REAL, maximum_m REAL, sum_nm REAL NOT NULL, parts BLOB NOT NULL
  ) STRICT;
  CREATE TABLE record (
    id INTEGER PRIMARY KEY CHECK (id = 1), store TEXT NOT NULL, from_s REAL, to_s REAL, batches INTEGER NOT NULL
  ) STRICT;
  INSERT INTO record VALUES (1, lower(hex(randomblob(8))), NULL, NULL, 0);
  `,
  rowsIntoChunks,
  inflowIntoParts,
  // Forwarding to a shared database: this board's own name there, and how far what stands here is there (to `target`).
  // `anew_s`: what is derived has been derived anew from this time on, and is to be held against what is there.
  `
  CREATE TABLE forward (
    id INTEGER PRIMARY KEY CHECK (id = 1), board TEXT NOT NULL, target TEXT, readings INTEGER NOT NULL, state TEXT,
    cycles_s REAL, findings_s REAL, inflow_s REAL, anew_s REAL
  ) STRICT;
  INSERT INTO forward VALUES (1, lower(hex(randomblob(8))), NULL, 0, NULL, NULL, NULL, NULL, NULL);
  `,
  // Channels that are kept for a shorter time: up to which reading their chunks have been looked at, and up to which
  // one a channel was taken out.
  `
  CREATE TABLE dropped (channel TEXT PRIMARY KEY, lookedTo INTEGER NOT NULL, lostTo INTEGER NOT NULL)
    STRICT, WITHOUT ROWID;
  `,
  // When a copy was put in this record's place, and what it has nothing of: from its own end to that of what was there.
  `
  CREATE TABLE putBack (at_s REAL NOT NULL, from_s REAL NOT NULL, to_s REAL NOT NULL, aside TEXT) STRICT;
  `,
];

/** Takes the file forward to the newest version, each step whole or not at all. Returns the version it came from. */
export function migrate(database: DatabaseSync, steps: readonly Migration[] = migrations): number {
  const found = schemaVersion(database);
  for (const [version, step] of steps.entries()) {
    if (version < found) continue;
    if (typeof step !== "string") {
      step(database, version + 1);
      continue;
    }
    database.exec("BEGIN IMMEDIATE");
    try {
      database.exec(`${step}; PRAGMA user_version = ${version + 1}; COMMIT`);
    } catch (error) {
      if (database.isTransaction) database.exec("ROLLBACK");
      throw error;
    }
  }
  return found;
}

export function schemaVersion(database: DatabaseSync): number {
  return Number(database.prepare("PRAGMA user_version").get()?.user_version);
}
