// Reads a watched rise as a person writes it: `20 in in 60 s`, `20 in in 60 s from 6 in`; and whether the basin has room for
// it.

import type { Site } from "../analysis/site.ts";
import type { WatchedRise } from "../analysis/sizing/hand-test.ts";
import { parseQuantity, QuantityError } from "../analysis/units/quantity.ts";
import { words } from "../analysis/units/words.ts";

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

/** What stands against a rise in this basin, in one line; null: nothing, or neither floor nor rim is given. */
export function riseBeyond({ rise_m, from_m }: WatchedRise, { basin, displayUnits }: Site): string | null {
  const say = words(displayUnits);
  const limits = [
    { level_m: basin.overflowLevel_m, what: "water reaches the floor at", key: "basin.overflow_level" },
    { level_m: basin.depth_m, what: "the rim stands at", key: "basin.depth" },
  ].flatMap(({ level_m, ...limit }) => (level_m === null ? [] : [{ level_m, ...limit }]));
  const [lowest] = limits.toSorted((a, b) => a.level_m - b.level_m);
  const start_m = from_m ?? basin.stopLevel_m ?? 0;
  if (lowest === undefined || start_m + rise_m <= lowest.level_m + readable_m) return null;
  const where = from_m !== null ? "as given" : basin.stopLevel_m !== null ? "the stop level" : "the inside bottom";
  return `expected a rise that ends in the basin, found ${say.level(rise_m)} from ${say.level(start_m)} (${where}), which ends at ${say.level(start_m + rise_m)}: ${lowest.what} ${say.level(lowest.level_m)} (${lowest.key})`;
}

/** A ruler is read no better. */
const readable_m = 0.005;
