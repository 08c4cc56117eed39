// By how much the level reads off at the high mark, where nothing but the level tells of high water. Pure.

import type { Finding } from "../findings/finding.ts";
import type { TripProblem } from "../readings/trip-drift.ts";
import type { AlarmInput } from "./alarm.ts";
import { isHighFloatAtFault } from "./wanted-in-vain.ts";

const drifts: ReadonlySet<unknown> = new Set(["zero-drift", "span-drift", "re-zeroed"] satisfies TripProblem[]);

/** A sensor that says something, but not what is true. */
export function readsOff({ kind, evidence }: Finding): boolean {
  return kind === "sensor-fault" && drifts.has(evidence.problem);
}

/**
 * Since when half the way is gone: of what the water rises from the start level to the high mark, or from there to the
 * floor, whichever is less. Read so much too low, the warning leaves half the time or less; too high, it comes at each
 * start. A high float that is sound warns all the same. Null: neither.
 */
export function highMarkOffSince_s(input: AlarmInput, before_s: number | null): number | null {
  const { site, situation } = input;
  const off_m = highMarkOff_m(input);
  if (off_m === null || (situation.highFloat !== null && !isHighFloatAtFault(input))) return null;
  const { startLevel_m, highLevel_m, overflowLevel_m } = site.basin;
  const ways_m = [startLevel_m, overflowLevel_m].flatMap((end_m) =>
    end_m === null || highLevel_m === null ? [] : Math.abs(highLevel_m - end_m),
  );
  return Math.abs(off_m) > Math.min(...ways_m) / 2 ? (before_s ?? input.time_s) : null;
}

/** By what the floats' trips have shown; a span that goes off does so more, the higher the water. Below 0: it reads too low. */
export function highMarkOff_m({ site: { basin }, situation: { openFindings } }: AlarmInput): number | null {
  const { shift_m, span_share, problem } = openFindings.find(readsOff)?.evidence ?? {};
  if (basin.highLevel_m === null || typeof shift_m !== "number") return null;
  if (problem !== "span-drift" || typeof span_share !== "number" || basin.stopLevel_m === null) return shift_m;
  return shift_m + span_share * (basin.highLevel_m - basin.stopLevel_m);
}
