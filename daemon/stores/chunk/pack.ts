// Bytes with their length before them, deflated where that makes them fewer.

import { constants, deflateRawSync, inflateRawSync } from "node:zlib";
import type { ByteReader, ByteWriter } from "./bytes.ts";

/** Fewer than this are left as they are: the tables of a deflated block are longer. */
const worthDeflating = 24;

/** Bytes that are alike by chance are written shorter one by one than as a repetition; long runs are one all the same. */
const asNoise = { memLevel: 9, strategy: constants.Z_FILTERED };

/** @param deflating false where it is read again so often that the time counts for more */
export function pack(out: ByteWriter, bytes: Uint8Array, deflating = true): void {
  const deflated = !deflating || bytes.length < worthDeflating ? null : deflateRawSync(bytes, asNoise);
  const isShorter = deflated !== null && deflated.length < bytes.length;
  const chosen = isShorter ? deflated : bytes;
  out.varint(chosen.length * 2 + (isShorter ? 1 : 0));
  out.bytes(chosen);
}

export function unpack(from: ByteReader): Uint8Array {
  const head = from.varint();
  const bytes = from.bytes(Math.floor(head / 2));
  return head % 2 === 1 ? inflateRawSync(bytes) : bytes;
}
