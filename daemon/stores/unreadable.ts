// Why a record could not be read just now, as an error in one sentence for a person. What is no fault of the record, but
// one of this program, stays as it is.

import { faultInWords } from "./sqlite/fault.ts";
import { StoreError } from "./store-error.ts";

const ofCoding = /is damaged$|^Invalid typed array length/;

export function unreadable(cause: unknown): unknown {
  const words = inWords(cause);
  return words === null ? cause : new StoreError(words, { cause });
}

function inWords(error: unknown): string | null {
  const fault = faultInWords(error);
  if (fault !== null) return `the record cannot be read now: ${fault}; the watch goes on`;
  if (!(error instanceof Error)) return null;
  const code = "code" in error && typeof error.code === "string" ? error.code : "";
  if (code === "ERR_INVALID_STATE") return "the record is closed: the daemon is stopping; ask again when it runs";
  // What the coding of chunks and roll-ups throws, and the unpacking under it.
  if ((error instanceof RangeError && ofCoding.test(error.message)) || code.startsWith("Z_")) {
    return `a part of the record cannot be read: ${error.message}; undercroft store check says how much of it is damaged`;
  }
  return null;
}
