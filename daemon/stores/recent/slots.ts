// A file of equal slots, made once in its full size, in which records are put one after another, round and round. A
// record is on the card when `put` returns: a page, and no more, for a card wears by the page. One that the power tore
// is told by its sum; none that is still needed is ever written over.

import { closeSync, constants, fstatSync, fsyncSync, openSync, readSync, writeSync } from "node:fs";
import { crc32 } from "node:zlib";

export interface SlotRecord {
  readonly sequence: number;
  readonly body: Uint8Array;
}

export interface SlotFile {
  /** Whether so long a body has a place without writing over what is needed. */
  hasRoom(length: number): boolean;
  /** Time to start anew, while there is room for that. */
  isNearlyFull(): boolean;
  /**
   * @param startsAnew nothing before this record is needed any more
   * @returns its sequence number
   */
  put(body: Uint8Array, startsAnew: boolean): number;
  /** Of the newest record; 0 when there has never been one. */
  sequence(): number;
  /** Nothing that stands in it is needed any more. */
  forget(): void;
  close(): void;
}

const slot_B = 4096;
const slots = 256;
const magic = 0x55_43_52_31; // "UCR1"
const head_B = 32;
/** The longest body that a record may have: a dozen slots. */
const longestBody = 12 * slot_B - head_B;
/** With so many taken, one more record and one that starts anew still have room, wherever the file ends. */
const manySlots = 216;

/**
 * Opens the file, or begins a new one; what another store left in it counts for nothing.
 *
 * @param owner sixteen hexadecimal digits that name the store
 * @param after the store has had records up to this number, though they may be here no more: new ones get higher ones
 * @returns the records that are still needed, oldest first
 */
export function openSlots(path: string, owner: string, after = 0): { file: SlotFile; records: SlotRecord[] } {
  const name = Buffer.from(owner.padEnd(16, "0").slice(0, 16), "hex");
  const found = existing(path)
    .filter((record) => record.owner.equals(name))
    .sort((a, b) => a.sequence - b.sequence);
  const records = lastChain(found);
  const inUse = records.map(({ at, length }) => ({ at, count: slotsFor(length) }));
  let sequence = Math.max(after, found.at(-1)?.sequence ?? 0);
  let next = inUse.length === 0 ? 0 : endOf(inUse.at(-1));
  let file: number | null = null;

  const placeFor = (length: number) => (next + slotsFor(length) > slots ? 0 : next);
  const hasRoom = (length: number) => {
    const at = placeFor(length);
    return length <= longestBody && !inUse.some((used) => used.at < at + slotsFor(length) && used.at + used.count > at);
  };

  return {
    file: {
      hasRoom,
      isNearlyFull: () => inUse.length > 0 && (next - (inUse[0]?.at ?? 0) + slots) % slots > manySlots,
      put(body, startsAnew) {
        if (!hasRoom(body.length)) throw new RangeError("a record has no room among those that are needed");
        file ??= makeWhole(path);
        const at = placeFor(body.length);
        const bytes = framed(body, sequence + 1, startsAnew || inUse.length === 0, name);
        writeSync(file, bytes, 0, bytes.length, at * slot_B);
        if (startsAnew) inUse.length = 0;
        inUse.push({ at, count: slotsFor(body.length) });
        next = at + slotsFor(body.length);
        return ++sequence;
      },
      sequence: () => sequence,
      forget() {
        inUse.length = 0;
      },
      close() {
        if (file !== null) closeSync(file);
        file = null;
      },
    },
    records,
  };
}

interface Found extends SlotRecord {
  readonly at: number;
  readonly length: number;
  readonly startsAnew: boolean;
  readonly owner: Buffer;
}

function slotsFor(length: number): number {
  return Math.ceil((head_B + length) / slot_B);
}

function endOf(used: { at: number; count: number } | undefined): number {
  return used === undefined ? 0 : used.at + used.count;
}

/** Head: magic, sum of all that follows, sequence, length, whether it starts anew, owner. */
function framed(body: Uint8Array, sequence: number, startsAnew: boolean, owner: Buffer): Buffer {
  const bytes = Buffer.alloc(slotsFor(body.length) * slot_B);
  bytes.writeUInt32LE(magic, 0);
  bytes.writeDoubleLE(sequence, 8);
  bytes.writeUInt32LE(body.length, 16);
  bytes.writeUInt32LE(startsAnew ? 1 : 0, 20);
  owner.copy(bytes, 24);
  bytes.set(body, head_B);
  bytes.writeUInt32LE(crc32(bytes.subarray(8, head_B + body.length)), 4);
  return bytes;
}

/** Every whole record in the file, in the order of their places; none when there is no file. */
function existing(path: string): Found[] {
  const bytes = Buffer.alloc(slots * slot_B);
  try {
    const file = openSync(path, "r");
    readSync(file, bytes, 0, bytes.length, 0);
    closeSync(file);
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return [];
    throw error;
  }
  return Array.from({ length: slots }, (_, at) => recordAt(bytes, at)).filter((record) => record !== null);
}

function recordAt(bytes: Buffer, at: number): Found | null {
  const begin = at * slot_B;
  if (bytes.readUInt32LE(begin) !== magic) return null;
  const length = bytes.readUInt32LE(begin + 16);
  const end = begin + head_B + length;
  if (end > bytes.length || crc32(bytes.subarray(begin + 8, end)) !== bytes.readUInt32LE(begin + 4)) return null;
  return {
    at,
    length,
    sequence: bytes.readDoubleLE(begin + 8),
    startsAnew: bytes.readUInt32LE(begin + 20) === 1,
    owner: bytes.subarray(begin + 24, begin + 32),
    body: bytes.subarray(begin + head_B, end),
  };
}

/** From the newest back, without a gap, to the one that started anew. */
function lastChain(sorted: readonly Found[]): Found[] {
  let first = sorted.length;
  while (first > 0) {
    const before = sorted[first - 1] as Found;
    const after = sorted[first];
    if (after !== undefined && (after.startsAnew || before.sequence !== after.sequence - 1)) break;
    first--;
  }
  return sorted.slice(first);
}

/** Who writes waits for the card: one call, where to write and then to wait for it are two, and take longer. */
const onTheCard = constants.O_RDWR | constants.O_CREAT | constants.O_DSYNC;

/** The file in its full size, so that later writes change nothing but its pages. */
function makeWhole(path: string): number {
  const file = openSync(path, onTheCard, 0o600);
  const { size } = fstatSync(file);
  if (size < slots * slot_B) {
    try {
      writeSync(file, Buffer.alloc(slots * slot_B - size), 0, slots * slot_B - size, size);
      fsyncSync(file);
    } catch (error) {
      closeSync(file);
      throw error;
    }
  }
  return file;
}
