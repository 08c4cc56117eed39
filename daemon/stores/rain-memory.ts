// The rain of the stored readings as few stretches: worked off once when it is first asked for, then only what is new. In
// slices, between which everything else has its turn.

import { setImmediate } from "node:timers/promises";
import { type RainStretch, rainCollector } from "../../analysis/storms/rain.ts";
import type { Store } from "./store.ts";

/** Some ten milliseconds of a small board's time. */
const slice = 10_000;

/** @returns asks for all stretches so far, oldest first; null when no reading ever had rain, not even 0 */
export function rainMemory(store: Pick<Store, "readings" | "readingCount">): () => Promise<RainStretch[] | null> {
  let collector = rainCollector();
  let seen = 0;
  let last: Promise<unknown> = Promise.resolve();

  async function catchUp(): Promise<RainStretch[] | null> {
    if (store.readingCount() < seen) {
      collector = rainCollector();
      seen = 0;
    }
    for (const reading of store.readings(seen)) {
      collector.push(reading);
      seen++;
      if (seen % slice === 0) await setImmediate();
    }
    return collector.stretches();
  }

  return () => {
    const next = last.then(catchUp);
    last = next.catch(() => undefined);
    return next;
  };
}
