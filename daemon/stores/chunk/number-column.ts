// One channel of numbers as bytes: where it was read, and its values as residuals on the sensor's own grid; values that
// stand on no grid keep their eight bytes. Bit for bit either way.

import { type ByteReader, type ByteWriter, byteReader, byteWriter, fromZigzags, zigzagsOf } from "./bytes.ts";
import type { Numbers } from "./columns.ts";
import { restoreFormerLine } from "./former-line.ts";
import { fromGridInPlace, type Grid, ontoGrid } from "./grid.ts";
import { pack, unpack } from "./pack.ts";
import { type Foretold, foretellInPlace, restoreInPlace } from "./predict.ts";

/** How the values of a column stand in it; `even`: each as far from the one before, as times mostly are. */
const kind = { none: 0, plain: 1, formerLine: 2, step: 3, line: 4, even: 5 } as const;

/** Values that are looked at to choose between them. */
const judgedBy = 1000;

/**
 * @param column    null when it was never read
 * @param deflating false where it is read again so often that the time counts for more
 */
export function writeNumbers(out: ByteWriter, column: Numbers | null, deflating = true): void {
  if (column === null || column.values.length === 0) {
    out.varint(kind.none);
    return;
  }
  const values = onlyPresent(column);
  const onGrid = ontoGrid(values);
  if (onGrid === null) {
    out.varint(kind.plain);
    writePresence(out, column.present);
    pack(out, bytesByPlace(values), deflating);
    return;
  }
  const pace = paceOf(onGrid.steps);
  if (pace !== null) {
    out.varint(kind.even);
    writePresence(out, column.present);
    writeGrid(out, onGrid.grid);
    out.varint(pace);
    return;
  }
  const by = shortest(onGrid.steps);
  foretellInPlace(onGrid.steps, by);
  out.varint(kind[by]);
  writePresence(out, column.present);
  writeGrid(out, onGrid.grid);
  pack(out, zigzagsOf(onGrid.steps), deflating);
}

/** The column again, of so many readings. */
export function readNumbers(from: ByteReader, count: number): Numbers | null {
  const column = readSteps(from, count);
  if (column === null) return null;
  const { present } = column;
  const values = valuesOf(column);
  return present === null ? { values, present } : { values: spread(values, present), present };
}

/** A column as it is kept. */
export interface Steps {
  /** Of those that were read: steps of the grid, or the values themselves where they are on none. */
  readonly steps: Float64Array;
  readonly grid: Grid | null;
  /** 0 where all steps are the same, 1 where each is one above the one before, and `steps` are not filled in. */
  readonly pace: 0 | 1 | null;
  readonly present: Uint8Array | null;
}

/** @param into room for so many, or more; given back as far as it is used */
export function readSteps(from: ByteReader, count: number, into: Float64Array = new Float64Array(count)): Steps | null {
  const found = from.varint();
  if (found === kind.none) return null;
  const present = readPresence(from, count);
  const there = present === null ? count : present.reduce((sum, one) => sum + one, 0);
  if (found === kind.plain) {
    return { steps: fromBytesByPlace(unpack(from), there, into), grid: null, pace: null, present };
  }
  const grid = readGrid(from);
  if (found === kind.even) {
    return { steps: into.subarray(0, there), grid, pace: from.varint() === 0 ? 0 : 1, present };
  }
  const steps = fromZigzags(unpack(from), there, into);
  if (found === kind.formerLine) restoreFormerLine(steps);
  else restoreInPlace(steps, found === kind.step ? "step" : "line");
  return { steps, grid, pace: null, present };
}

/** The steps, filled in. */
export function stepsOf({ steps, pace }: Steps): Float64Array {
  if (pace !== null) for (let i = 0; i < steps.length; i++) steps[i] = pace * i;
  return steps;
}

/** In SI, in place of the steps; of those that were read. */
export function valuesOf(column: Steps): Float64Array {
  const values = stepsOf(column);
  if (column.grid !== null) fromGridInPlace(column.grid, values);
  return values;
}

/** 0 where all are the same, 1 where each is a step above the one before; null where they are not so even. */
function paceOf(steps: Float64Array): 0 | 1 | null {
  const pace = steps[1] ?? 0;
  if (pace !== 0 && pace !== 1) return null;
  for (let i = 1; i < steps.length; i++) if (steps[i] !== pace * i) return null;
  return pace;
}

function onlyPresent({ values, present }: Numbers): Float64Array {
  return present === null ? values : values.filter((_, i) => present[i] === 1);
}

/** NaN in the places of those that were not read. */
export function spread(values: Float64Array, present: Uint8Array): Float64Array {
  const all = new Float64Array(present.length).fill(Number.NaN);
  for (let i = 0, at = 0; i < all.length; i++) if (present[i] === 1) all[i] = values[at++] as number;
  return all;
}

/** Run lengths of read and not read in turn, read first; nothing when all were. */
function writePresence(out: ByteWriter, present: Uint8Array | null): void {
  const runs = byteWriter(16);
  if (present !== null) {
    for (let at = 0, read = 1; at < present.length; read = 1 - read) {
      const other = present.indexOf(1 - read, at);
      const end = other === -1 ? present.length : other;
      runs.varint(end - at);
      at = end;
    }
  }
  pack(out, runs.written());
}

function readPresence(from: ByteReader, count: number): Uint8Array | null {
  const runs = byteReader(unpack(from));
  if (runs.left() === 0) return null;
  const present = new Uint8Array(count);
  for (let at = 0, read = 1; runs.left() > 0; read = 1 - read) {
    const end = at + runs.varint();
    present.fill(read, at, end);
    at = end;
  }
  return present;
}

function writeGrid(out: ByteWriter, { unit, decimals, origin, step }: Grid): void {
  out.varint(unit * 16 + decimals);
  out.zigzag(origin);
  out.varint(step);
}

function readGrid(from: ByteReader): Grid {
  const both = from.varint();
  return { unit: Math.floor(both / 16), decimals: both % 16, origin: from.zigzag(), step: from.varint() };
}

/** By line or by step, whichever leaves fewer bits of the first of them. */
function shortest(steps: Float64Array): Foretold {
  return bitsLeft(steps.slice(0, judgedBy), "line") < bitsLeft(steps.slice(0, judgedBy), "step") ? "line" : "step";
}

function bitsLeft(some: Float64Array, by: Foretold): number {
  foretellInPlace(some, by);
  return bitsOf(some);
}

function bitsOf(residuals: Float64Array): number {
  let bits = 0;
  for (let i = 0; i < residuals.length; i++) {
    const size = Math.abs(residuals[i] as number);
    bits += size < 2 ** 31 ? 32 - Math.clz32(size) : 40;
  }
  return bits;
}

/** Bytes of doubles sorted by their place in the double: alike beside alike, so that they deflate. */
function bytesByPlace(values: Float64Array): Uint8Array {
  const view = new DataView(new ArrayBuffer(8));
  const bytes = new Uint8Array(values.length * 8);
  for (const [i, value] of values.entries()) {
    view.setFloat64(0, value);
    for (let place = 0; place < 8; place++) bytes[place * values.length + i] = view.getUint8(place);
  }
  return bytes;
}

function fromBytesByPlace(bytes: Uint8Array, count: number, into: Float64Array): Float64Array {
  if (bytes.length !== count * 8) throw new RangeError("a chunk has not the values that it counts; it is damaged");
  const view = new DataView(new ArrayBuffer(8));
  const values = into.subarray(0, count);
  for (let i = 0; i < count; i++) {
    for (let place = 0; place < 8; place++) view.setUint8(place, bytes[place * count + i] as number);
    values[i] = view.getFloat64(0);
  }
  return values;
}
