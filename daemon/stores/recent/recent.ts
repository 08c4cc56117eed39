// What is not in the database yet, kept all the same: on the card each minute and with every cycle or finding, and each
// second where only the process's death must be outlived. The database is then written by whole pages, now and then.

import { deserialize, serialize } from "node:v8";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { decodeChunk, encodeChunk } from "../chunk/chunk.ts";
import { openSeconds, type Stretch } from "./seconds.ts";
import { openSlots } from "./slots.ts";

export interface Batch extends Stretch {
  readonly cycles: readonly Cycle[];
  readonly findings: readonly Finding[];
}

export interface Recent {
  /** Puts it on the card; false, and nothing done, when it has no room there. */
  keep(batch: Batch, startsAnew: boolean): boolean;
  /** Time to keep everything that is not in the database once more, starting anew. */
  isNearlyFull(): boolean;
  /** Of the newest batch that was kept. */
  sequence(): number;
  /** Nothing of what was kept is needed any more: the database has it for good. */
  forget(): void;
  /** Keeps readings from the process's death alone. */
  note(stretch: Stretch): void;
  /** @param allInDatabase nothing in here is needed any more */
  close(allInDatabase: boolean): void;
}

export interface Recovered {
  /** Oldest first, and with the sequence numbers they were kept under. */
  readonly kept: readonly (Batch & { readonly sequence: number })[];
  readonly noted: readonly Stretch[];
}

/**
 * @param owner sixteen hexadecimal digits that name the store
 * @param batches how many of them its database has had
 */
export function openRecent(path: string, owner: string, batches = 0): { recent: Recent; recovered: Recovered } {
  const slots = openSlots(`${path}.recent`, owner, batches);
  const seconds = openSeconds(path, owner);
  return {
    recent: {
      keep(batch, startsAnew) {
        const body = frozen(batch);
        if (!slots.file.hasRoom(body.length)) return false;
        slots.file.put(body, startsAnew);
        seconds.file.clear();
        return true;
      },
      isNearlyFull: slots.file.isNearlyFull,
      sequence: slots.file.sequence,
      forget() {
        slots.file.forget();
        seconds.file.clear();
      },
      note: ({ firstNth, readings }) => seconds.file.put(firstNth, readings),
      close(allInDatabase) {
        slots.file.close();
        seconds.file.close(allInDatabase);
      },
    },
    recovered: {
      kept: slots.records.map(({ sequence, body }) => ({ sequence, ...thawed(body) })),
      noted: seconds.stretches,
    },
  };
}

/** What is kept there, for a reader: nothing is made or changed. */
export function openSlotsToRead(path: string, owner: string): Recovered["kept"] {
  const slots = openSlots(`${path}.recent`, owner);
  return slots.records.map(({ sequence, body }) => ({ sequence, ...thawed(body) }));
}

function frozen({ firstNth, readings, cycles, findings }: Batch): Uint8Array {
  const chunk = encodeChunk(readings);
  return serialize(cycles.length + findings.length === 0 ? { firstNth, chunk } : { firstNth, chunk, cycles, findings });
}

function thawed(body: Uint8Array): Batch {
  // Its sum is right, so that this is what was written, by a program of the same making.
  const {
    firstNth,
    chunk,
    cycles = [],
    findings = [],
  } = deserialize(body) as Omit<Batch, "readings"> & {
    readonly chunk: Uint8Array;
  };
  return { firstNth, readings: decodeChunk(chunk), cycles, findings };
}
