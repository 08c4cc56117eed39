// Splits a text into the parts of a text message: one where it fits, else several with a header that joins them
// (3GPP TS 23.040, 9.2.3.24.1). An escape pair or a surrogate pair is never torn apart.

import { gsmSeptets, septetsOfOne, unitsOfOne } from "../../gsm-alphabet.ts";

export type Alphabet = "gsm" | "ucs2";

export interface Segments {
  readonly alphabet: Alphabet;
  /** Septets or UTF-16 units of each part. */
  readonly parts: readonly (readonly number[])[];
}

/** What a part holds beside the header of six octets: (1120 − 48) / 7 and / 16 bits. */
const septetsOfPart = 153;
const unitsOfPart = 67;
/** The header counts to 255. */
const mostParts = 255;

/** @throws {RangeError} when it takes more than 255 parts */
export function segmentsOf(text: string): Segments {
  const septets = gsmSeptets(text);
  const alphabet = septets === null ? "ucs2" : "gsm";
  const whole = septets ?? [...text].map((char) => Array.from({ length: char.length }, (_, i) => char.charCodeAt(i)));
  const [ofOne, ofPart] = septets === null ? [unitsOfOne, unitsOfPart] : [septetsOfOne, septetsOfPart];
  const flat = whole.flat();
  if (flat.length <= ofOne) return { alphabet, parts: [flat] };
  const parts: number[][] = [];
  let part: number[] = [];
  for (const char of whole) {
    if (part.length + char.length > ofPart) {
      parts.push(part);
      part = [];
    }
    part.push(...char);
  }
  parts.push(part);
  if (parts.length > mostParts)
    throw new RangeError(`text message: expected at most ${mostParts} parts, found ${parts.length}`);
  return { alphabet, parts };
}
