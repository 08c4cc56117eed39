import type { TrackerOutput } from "../../analysis/cycles/tracker-context.ts";

/** Where nobody listens to what the tracker tells. */
export const silentOutput: TrackerOutput = {
  cycle() {},
  pumped() {},
  unwatched() {},
  unknown() {},
  partOfRest() {},
  inflow() {},
  start() {},
  leapt() {},
};
