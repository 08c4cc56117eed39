// The one checkpoint: the state of the analysis as structured clone, so that typed arrays come back as they were.

import type { DatabaseSync } from "node:sqlite";
import { deserialize, serialize } from "node:v8";
import { deflateRawSync, inflateRawSync } from "node:zlib";
import type { Checkpoint } from "../store.ts";
import { number } from "./row.ts";

export interface CheckpointTable {
  put(checkpoint: FrozenCheckpoint): void;
  clear(): void;
  get(): FrozenCheckpoint | null;
}

/** A checkpoint whose state can no longer change under it; deflated, a seventh of its size on the card. */
export interface FrozenCheckpoint {
  readonly state: Uint8Array;
  readonly readingsSeen: number;
}

export function freeze({ state, readingsSeen }: Checkpoint): FrozenCheckpoint {
  return { state: deflateRawSync(serialize(state), { level: 1 }), readingsSeen };
}

/** Null when the state cannot be read (another runtime wrote it): the readings give it again. */
export function thaw(frozen: FrozenCheckpoint | null): Checkpoint | null {
  if (frozen === null) return null;
  try {
    return { state: deserialize(inflateRawSync(frozen.state)), readingsSeen: frozen.readingsSeen };
  } catch {
    return null;
  }
}

export function checkpointTable(database: DatabaseSync): CheckpointTable {
  const put = database.prepare("REPLACE INTO checkpoint VALUES (1, ?, ?)");
  const clear = database.prepare("DELETE FROM checkpoint");
  const get = database.prepare("SELECT readingsSeen, state FROM checkpoint");
  return {
    put: ({ state, readingsSeen }) => {
      put.run(readingsSeen, state);
    },
    clear: () => {
      clear.run();
    },
    get: () => {
      const row = get.get();
      if (row === undefined || !(row.state instanceof Uint8Array)) return null;
      return { state: row.state, readingsSeen: number(row.readingsSeen) };
    },
  };
}
