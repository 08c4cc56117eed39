// One channel of a contact as bytes: how many readings it was off, on or not read, in turn.

import { type ByteReader, type ByteWriter, byteReader, byteWriter } from "./bytes.ts";
import { pack, unpack } from "./pack.ts";

/** @param states 0 not read, 1 off, 2 on; null when it was never read: a single byte */
export function writeSwitches(out: ByteWriter, states: Uint8Array | null): void {
  const runs = byteWriter(64);
  if (states !== null) {
    let begin = 0;
    for (let i = 1; i <= states.length; i++) {
      if (i < states.length && states[i] === states[begin]) continue;
      runs.varint((i - begin) * 3 + (states[begin] ?? 0));
      begin = i;
    }
  }
  pack(out, runs.written());
}

export function readSwitches(from: ByteReader, count: number): Uint8Array | null {
  const runs = byteReader(unpack(from));
  if (runs.left() === 0) return null;
  const states = new Uint8Array(count);
  for (let at = 0; runs.left() > 0; ) {
    const run = runs.varint();
    const end = at + Math.floor(run / 3);
    states.fill(run % 3, at, end);
    at = end;
  }
  return states;
}
