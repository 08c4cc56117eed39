// A pump that moves far less than it did, or what it used to again, by cycles that fall between readings: they follow from one
// another by no course of the inflow for the pump that is known, and by one for that other.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { BetweenFloats, CycleReading } from "./cycle-grid.ts";
import { type Followed, followCycles } from "./follow-cycles.ts";
import { enoughCameIn } from "./pump-by-cycles.ts";

/** Fewer readings fit many a course. */
const fewest = 12;
/** Far less: about so many times as much, within a half and twice of that (2.5 standard deviations of the logarithm). */
const farLess = 0.6;
const uFar = 0.3;
/** What it used to move it moves again within so much. */
const uAgain = 0.05;
/** Such a change is rare: what follows must be so much likelier by it (logarithm), once in 22 000 by chance. */
const farLikelier = 10;
/** It must be known so well, and be so far from what it was. */
const wellKnown = 0.1;
const another = 0.2;
/** Where more than this share of what it moves comes in, the level hardly moves, and a pump of any size follows. Judgement. */
const nearlyAll = 0.9;

/**
 * Of a pump far stronger nothing is tried: a cycle whose rest and run change places follows nearly as well by one.
 *
 * @param readings those of a stretch alone: those before may be of the pump as it was
 * @param pump     what it moves, as far as is known
 * @param used     what it used to move; null where that is no other
 * @param follows  how well cycles must follow (see `Followed`), and how well by a pump that was never seen: as of late
 * @returns null where it moves as it did, or nothing tells that it does not
 */
export function movesOtherwise(
  readings: readonly CycleReading[],
  floats: BetweenFloats,
  pump: FlowEstimate,
  used: FlowEstimate | null,
  follows: { readonly atLeast: number; readonly anew: number },
): Followed | null {
  if (readings.length < fewest) return null;
  const steps = readings.length - 1;
  const by = (flow_m3s: number, share: number) =>
    followCycles(readings, floats, { ...pump, flow_m3s, uFlow_m3s: share * flow_m3s });
  const odds = (of: Followed | null) => (of === null ? Number.NEGATIVE_INFINITY : steps * of.fits);
  const same = followCycles(readings, floats, pump);
  const less = by(farLess * pump.flow_m3s, uFar);
  const again = used === null ? null : by(used.flow_m3s, uAgain);
  const best = odds(again) > odds(less) ? again : less;
  const enough = best === again ? follows.atLeast : follows.anew;
  if (best === null || !(best.fits > enough) || odds(best) < odds(same) + farLikelier) return null;
  const { flow_m3s, uFlow_m3s } = best.pump;
  const isAnother = best === again || flow_m3s < (1 - another) * pump.flow_m3s;
  const share = meanOf(best.flow_m3s) / flow_m3s;
  const isKnown = uFlow_m3s < wellKnown * flow_m3s && share > enoughCameIn && share < nearlyAll;
  return isAnother && isKnown ? best : null;
}

function meanOf(flows_m3s: readonly number[]): number {
  return flows_m3s.reduce((sum, flow_m3s) => sum + flow_m3s, 0) / flows_m3s.length;
}
