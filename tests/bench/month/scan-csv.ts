// The least work on a recording's bytes: to read them, to touch each, and to scan rows of one fixed shape without a
// look at whether they are right.

import { closeSync, openSync, readSync } from "node:fs";

const chunkBytes = 512 * 1024;

/** Calls `onBytes` with chunks; what it leaves of one is put before the next. Returns nothing: the work is the point. */
function eachChunk(path: string, onBytes: (bytes: Uint8Array, length: number) => number): void {
  const bytes = new Uint8Array(2 * chunkBytes);
  const file = openSync(path, "r");
  let kept = 0;
  for (let got = readSync(file, bytes, 0, chunkBytes, null); got > 0; ) {
    const length = kept + got;
    const used = onBytes(bytes, length);
    bytes.copyWithin(0, used, length);
    kept = length - used;
    got = readSync(file, bytes, kept, chunkBytes, null);
  }
  closeSync(file);
}

export function plainRead(path: string): number {
  let total = 0;
  eachChunk(path, (_, length) => {
    total += length;
    return length;
  });
  return total;
}

export function touchEveryByte(path: string): number {
  let sum = 0;
  eachChunk(path, (bytes, length) => {
    for (let i = 0; i < length; i++) sum = (sum + (bytes[i] as number)) | 0;
    return length;
  });
  return sum;
}

const LF = 0x0a;
const COMMA = 0x2c;
const POINT = 0x2e;
const ZERO = 0x30;
const timeLength = "2026-01-01T00:00:00.000Z".length;

/** `time,level_mm,pump_on` with times as toISOString writes them, into columns. */
export function tightScan(path: string, rows: number) {
  const time_ms = new Float64Array(rows);
  const level_mm = new Float64Array(rows);
  const pumpOn = new Uint8Array(rows);
  let row = -1;
  let day = 0;
  let day_ms = 0;
  eachChunk(path, (bytes, length) => {
    const two = (i: number) => ((bytes[i] as number) - ZERO) * 10 + (bytes[i + 1] as number) - ZERO;
    let end = length;
    while (end > 0 && bytes[end - 1] !== LF) end -= 1;
    let at = 0;
    if (row === -1) {
      while (bytes[at++] !== LF);
      row = 0;
    }
    while (at < end) {
      const date = two(at + 2) * 10_000 + two(at + 5) * 100 + two(at + 8);
      if (date !== day) {
        day = date;
        day_ms = Date.UTC(2000 + two(at + 2), two(at + 5) - 1, two(at + 8));
      }
      const milliseconds = ((bytes[at + 20] as number) - ZERO) * 100 + two(at + 21);
      time_ms[row] = day_ms + two(at + 11) * 3_600_000 + two(at + 14) * 60_000 + two(at + 17) * 1000 + milliseconds;
      at += timeLength + 1;
      let whole = 0;
      for (let byte = bytes[at++] as number; byte !== COMMA; byte = bytes[at++] as number) {
        if (byte !== POINT) whole = whole * 10 + byte - ZERO;
      }
      level_mm[row] = whole / 10;
      pumpOn[row] = (bytes[at] as number) - ZERO;
      at += 2;
      row += 1;
    }
    return end;
  });
  return { rows: row, time_ms, level_mm, pumpOn };
}
