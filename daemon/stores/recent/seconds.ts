// The readings of the last seconds, in memory that outlives the process: a file on a file system in memory, which costs
// the card nothing. It is gone with the power; by then the card has all but the last minute.

import { createHash } from "node:crypto";
import { closeSync, constants, fstatSync, ftruncateSync, openSync, readFileSync, unlinkSync, writeSync } from "node:fs";
import { crc32 } from "node:zlib";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { decodeChunk, encodeChunk } from "../chunk/chunk.ts";

export interface Seconds {
  /** @param firstNth place of the first of them in the record */
  put(firstNth: number, readings: readonly Reading[]): void;
  clear(): void;
  /** @param andForget all of it is on the card */
  close(andForget: boolean): void;
}

/** Readings that stand together, with the place of the first. */
export interface Stretch {
  readonly firstNth: number;
  readonly readings: readonly Reading[];
}

/** A service's own folder in memory (systemd), which outlives a restart: in shared memory its files are cleared away. */
const foldersInMemory = () =>
  [process.env.RUNTIME_DIRECTORY?.split(":")[0], "/dev/shm"].filter((one) => one !== undefined);
const head_B = 24; // sum, length, place of the first, owner

/**
 * @param path  of the store
 * @param owner sixteen hexadecimal digits that name the store: what another left there counts for nothing
 */
export function openSeconds(path: string, owner: string): { file: Seconds; stretches: Stretch[] } {
  const name = Buffer.from(owner.padEnd(16, "0").slice(0, 16), "hex");
  const file = `undercroft-${createHash("sha256").update(path).digest("hex").slice(0, 24)}`;
  // Beside the record where there is no such folder.
  const places = [...foldersInMemory().map((folder) => `${folder}/${file}`), `${path}.seconds`];
  const opened = openFirst(places);
  if (opened === null) return { file: nowhere, stretches: [] };
  const { handle, place } = opened;
  const stretches = stretchesIn(readFileSync(place), name);
  let isOpen = true;
  let end = stretches.length === 0 ? 0 : stretches.reduce((sum, { size }) => sum + size, 0);

  return {
    file: {
      put(firstNth, readings) {
        const body = encodeChunk(readings);
        const bytes = Buffer.alloc(head_B + body.length);
        bytes.writeUInt32LE(body.length, 4);
        bytes.writeDoubleLE(firstNth, 8);
        name.copy(bytes, 16);
        bytes.set(body, head_B);
        bytes.writeUInt32LE(crc32(bytes.subarray(4)), 0);
        writeSync(handle, bytes, 0, bytes.length, end);
        end += bytes.length;
      },
      clear() {
        if (end > 0) ftruncateSync(handle, 0);
        end = 0;
      },
      close(andForget) {
        if (isOpen) closeSync(handle);
        if (isOpen && andForget) unlinkSync(place);
        isOpen = false;
      },
    },
    stretches,
  };
}

/** A board without either goes on: the readings are on the card within the minute. */
const nowhere: Seconds = { put: () => {}, clear: () => {}, close: () => {} };

function openFirst(places: readonly string[]): { handle: number; place: string } | null {
  for (const place of places) {
    try {
      // Anybody may make files in shared memory: another user's, or a link to elsewhere, is not ours.
      const handle = openSync(place, constants.O_RDWR | constants.O_CREAT | (constants.O_NOFOLLOW ?? 0), 0o600);
      const { uid } = fstatSync(handle);
      if (process.getuid === undefined || uid === process.getuid()) return { handle, place };
      closeSync(handle);
    } catch {
      // the next place
    }
  }
  return null;
}

function stretchesIn(bytes: Buffer, owner: Buffer): (Stretch & { size: number })[] {
  const found: (Stretch & { size: number })[] = [];
  for (let at = 0; at + head_B <= bytes.length; ) {
    const end = at + head_B + bytes.readUInt32LE(at + 4);
    if (end > bytes.length || crc32(bytes.subarray(at + 4, end)) !== bytes.readUInt32LE(at)) break;
    if (!bytes.subarray(at + 16, at + 24).equals(owner)) break;
    const readings = decodeChunk(bytes.subarray(at + head_B, end));
    found.push({ firstNth: bytes.readDoubleLE(at + 8), readings, size: end - at });
    at = end;
  }
  return found;
}
