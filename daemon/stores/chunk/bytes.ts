// Whole numbers as bytes, seven bits in each, the small ones first (varints); with a sign as zigzag: 0, −1, 1, −2 …

export interface ByteWriter {
  /** A whole number from 0 to 2^53. */
  varint(value: number): void;
  /** A whole number of either sign, up to 2^52. */
  zigzag(value: number): void;
  bytes(some: Uint8Array): void;
  /** What was written; valid until more is. */
  written(): Uint8Array;
}

export interface ByteReader {
  varint(): number;
  zigzag(): number;
  /** The next `length` bytes, in place. */
  bytes(length: number): Uint8Array;
  left(): number;
}

export function byteWriter(room = 256): ByteWriter {
  let buffer = new Uint8Array(room);
  let length = 0;

  const makeRoom = (more: number) => {
    if (length + more <= buffer.length) return;
    const larger = new Uint8Array(Math.max(buffer.length * 2, length + more));
    larger.set(buffer.subarray(0, length));
    buffer = larger;
  };
  const varint = (value: number) => {
    makeRoom(8);
    length = putVarint(buffer, length, value);
  };

  return {
    varint,
    zigzag: (value) => varint(value < 0 ? -2 * value - 1 : 2 * value),
    bytes(some) {
      makeRoom(some.length);
      buffer.set(some, length);
      length += some.length;
    },
    written: () => buffer.subarray(0, length),
  };
}

/** @throws {RangeError} when more is read than there is: the bytes are not what was written */
export function byteReader(buffer: Uint8Array): ByteReader {
  let at = 0;

  const varint = () => {
    let value = 0;
    for (let place = 1; ; place *= 128) {
      const byte = buffer[at++] ?? torn();
      if (byte < 128) return value + byte * place;
      value += (byte - 128) * place;
    }
  };

  return {
    varint,
    zigzag: () => signed(varint()),
    bytes(length) {
      if (at + length > buffer.length) torn();
      at += length;
      return buffer.subarray(at - length, at);
    },
    left: () => buffer.length - at,
  };
}

/** Many at once, each as a zigzag. */
export function zigzagsOf(values: Float64Array): Uint8Array {
  let bytes = new Uint8Array(values.length * 2 + 16);
  let length = 0;
  for (let i = 0; i < values.length; i++) {
    if (length + 8 > bytes.length) {
      const larger = new Uint8Array(bytes.length * 2);
      larger.set(bytes);
      bytes = larger;
    }
    const value = values[i] as number;
    const folded = value < 0 ? -2 * value - 1 : 2 * value;
    if (folded < 128) bytes[length++] = folded;
    else length = putVarint(bytes, length, folded);
  }
  return bytes.subarray(0, length);
}

/**
 * So many of them, and no more, are to be in these bytes.
 * @param into room for as many, or more
 */
export function fromZigzags(
  bytes: Uint8Array,
  count: number,
  into: Float64Array = new Float64Array(count),
): Float64Array {
  const values = into.subarray(0, count);
  let at = 0;
  for (let i = 0; i < count; i++) {
    let byte = bytes[at++] ?? torn();
    let value = byte & 127;
    // Nearly all have two bytes at most: without a product.
    if (byte >= 128) {
      byte = bytes[at++] ?? torn();
      value |= (byte & 127) << 7;
    }
    if (byte < 128) {
      values[i] = (value >>> 1) ^ -(value & 1);
      continue;
    }
    for (let place = 16_384; byte >= 128; place *= 128) {
      byte = bytes[at++] ?? torn();
      value += (byte & 127) * place;
    }
    values[i] = signed(value);
  }
  if (at !== bytes.length) torn();
  return values;
}

function putVarint(buffer: Uint8Array, from: number, value: number): number {
  let at = from;
  let rest = value;
  while (rest >= 128) {
    const higher = Math.floor(rest / 128);
    buffer[at++] = rest - higher * 128 + 128;
    rest = higher;
  }
  buffer[at++] = rest;
  return at;
}

function signed(folded: number): number {
  const half = Math.floor(folded / 2);
  return folded === half * 2 ? half : -half - 1;
}

function torn(): never {
  throw new RangeError("a chunk's bytes do not end with its last value; it is damaged");
}
