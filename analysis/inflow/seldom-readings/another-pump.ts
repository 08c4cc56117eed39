// A pump that moves far less than it did, or what it used to again, by cycles that fall between readings: they follow from one
// another by no course of the inflow for the pump that is known, and by one for that other.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { BetweenFloats, CycleReading } from "./cycle-grid.ts";
import { average, type Followed, followCycles } from "./follow-cycles.ts";
import { enoughCameIn } from "./pump-by-cycles.ts";

/** Fewer readings fit many a course. */
export const fewest = 12;
/** Far less: about so many times as much, within a half and twice of that (2.5 standard deviations of the logarithm). */
const farLess = 0.6;
const uFar = 0.3;
/** What it used to move it moves again within so much. */
const uAgain = 0.05;
/**
 * Such a change is rare: what follows must be so much likelier by it (logarithm), once in 22 000 by chance; far more so where
 * little comes in, and little tells it but how the pump comes up to speed and what the valve lets back; and most where all
 * follows worse than of late, as it does when the change lies within the stretch, or the sensor errs. Judgement.
 */
export const farLikelier = 10;
export const inLittle = 25;
export const worseThanOfLate = 40;
export const little = 0.15;
/** It must be known so well, and be so far from what it was. */
const wellKnown = 0.1;
const another = 0.1;
/** Where more than this share of what it moves comes in, the level hardly moves, and a pump of any size follows. Judgement. */
export const nearlyAll = 0.9;

/**
 * Of a pump far stronger nothing is tried: a cycle whose rest and run change places follows nearly as well by one.
 *
 * @param readings those of a stretch alone: those before may be of the pump as it was
 * @param pump     what it moves, as far as is known
 * @param used     what it used to move; null where that is no other
 * @param follows  how well cycles must follow (see `Followed`), and how well they did of late; less well shows only what is certain
 * @returns null where it moves as it did, or nothing tells that it does not
 */
export function movesOtherwise(
  readings: readonly CycleReading[],
  floats: BetweenFloats,
  pump: FlowEstimate,
  used: FlowEstimate | null,
  follows: { readonly atLeast: number; readonly ofLate: number },
): Followed | null {
  if (readings.length < fewest) return null;
  const by = (flow_m3s: number, share: number) =>
    followCycles(readings, floats, { ...pump, flow_m3s, uFlow_m3s: share * flow_m3s });
  const same = followCycles(readings, floats, pump);
  const less = by(farLess * pump.flow_m3s, uFar);
  const again = used === null ? null : by(used.flow_m3s, uAgain);
  const best = fitsOf(again) > fitsOf(less) ? again : less;
  if (same === null || best === null || !(best.fits > follows.atLeast)) return null;
  const { flow_m3s, uFlow_m3s } = best.pump;
  if (best === less && flow_m3s > (1 - another) * pump.flow_m3s) return null;
  const share = average(best.flow_m3s) / flow_m3s;
  if (!(uFlow_m3s < wellKnown * flow_m3s && share > little && share < nearlyAll)) return null;
  const isWorse = best === less && best.fits < follows.ofLate;
  const likelier = isWorse ? worseThanOfLate : share < enoughCameIn ? inLittle : farLikelier;
  return (readings.length - 1) * (best.fits - same.fits) > likelier ? best : null;
}

function fitsOf(followed: Followed | null): number {
  return followed?.fits ?? Number.NEGATIVE_INFINITY;
}
