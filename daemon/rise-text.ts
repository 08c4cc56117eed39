// Reads a watched rise as a person writes it: `20 in in 60 s`, `20 in in 60 s from 6 in`.

import type { WatchedRise } from "../analysis/sizing/hand-test.ts";
import { parseQuantity, QuantityError } from "../analysis/units/quantity.ts";

/**
 * @returns SI
 * @throws {QuantityError} when the text is anything else
 */
export function parseRise(text: string): WatchedRise {
  // The first ` in ` that has a quantity on both sides parts them: inches are written `in` too.
  const found = form.exec(text.trim());
  const [, rise = "", time = "", from] = found ?? [];
  if (found === null)
    throw new QuantityError(`expected a rise and its time, such as 20 in in 60 s, found ${JSON.stringify(text)}`);
  const rise_m = parseQuantity(rise, "length");
  const watched_s = parseQuantity(time, "duration");
  if (rise_m === 0) throw new QuantityError("expected a rise above 0, found 0");
  if (watched_s === 0) throw new QuantityError("expected a time above 0, found 0");
  return { rise_m, watched_s, from_m: from === undefined ? null : parseQuantity(from, "length") };
}

const form = /^(.+\S)\s+in\s+(\d.*?)(?:\s+from\s+(.+))?$/i;
