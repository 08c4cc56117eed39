// What many rests say together of an inflow that hardly changes from one to the next, so that the highest of many noisy
// rests is not taken for a peak.

import type { FlowEstimate } from "../../cycles/cycle.ts";

/** One guess at how fast the inflow wanders, and what follows from it. */
interface Guess {
  flow_m3s: number;
  variance: number;
  /** Logarithm of how well it foretold the latest rests. */
  fits: number;
}

export interface CalmMeanState {
  guesses: Guess[];
  time_s: number;
}

export function newCalmMean(): CalmMeanState {
  return { guesses: [], time_s: Number.NaN };
}

/** Shares by which the inflow wanders in an hour (standard deviation of a random walk): calm, usual, lively. */
const wanders = [0.003, 0.03, 0.3] as const;
/** Guesses are judged by some twenty rests. */
const keeps = 0.95;
/** A rest so many standard deviations off what any guess foretold begins anew. */
const news = 3;
/** No rest is moved by more than this many of its own. */
const mostMoved = 2;

/**
 * Takes the mean inflow of a rest in.
 *
 * @param time_s middle of the rest
 * @returns by how much what all rests say together lies above what this one says, m³/s
 */
export function towardsCalm(state: CalmMeanState, { flow_m3s, uFlow_m3s }: FlowEstimate, time_s: number): number {
  const hours = (time_s - state.time_s) / 3600;
  const u2 = uFlow_m3s ** 2;
  state.time_s = time_s;
  if (!(u2 > 0) || !(hours >= 0) || state.guesses.length === 0) return beginAnew(state, flow_m3s, u2);
  let surprised = true;
  wanders.forEach((share, k) => {
    const guess = state.guesses[k];
    if (guess === undefined) return;
    const foretold = guess.variance + (share * flow_m3s) ** 2 * hours;
    const total = foretold + u2;
    const off = flow_m3s - guess.flow_m3s;
    if (off ** 2 <= news ** 2 * total) surprised = false;
    guess.fits = keeps * guess.fits - 0.5 * (off ** 2 / total + Math.log(total));
    guess.flow_m3s += (foretold / total) * off;
    guess.variance = (foretold * u2) / total;
  });
  if (surprised) return beginAnew(state, flow_m3s, u2);
  const best = state.guesses.reduce((a, b) => (b.fits > a.fits ? b : a));
  return Math.max(-mostMoved * uFlow_m3s, Math.min(mostMoved * uFlow_m3s, best.flow_m3s - flow_m3s));
}

function beginAnew(state: CalmMeanState, flow_m3s: number, variance: number): number {
  state.guesses = variance > 0 ? wanders.map(() => ({ flow_m3s, variance, fits: 0 })) : [];
  return 0;
}
