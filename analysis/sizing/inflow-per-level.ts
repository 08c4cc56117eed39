// How the inflow goes with the water level in the basin: ground water that has less way to fall comes slower. Learned over
// the rests of a record, for what a higher start level would save.

import type { InflowStretch } from "../analyzer.ts";
import type { Cycle } from "../cycles/cycle.ts";
import { medianInPlace } from "../statistics/median.ts";
import type { InflowPerLevel } from "./request.ts";

export interface InflowPerLevelLearner {
  /** Settled cycles and stretches, as the analyzer gives them; in order of time each. */
  cycle(cycle: Cycle): void;
  inflow(stretch: InflowStretch): void;
  /** Null before enough rests with a level have shown it. */
  result(): InflowPerLevel | null;
}

/** One rest: its mean, how it changed in the rest, and how fast the level rose. */
interface Rest {
  readonly middle_s: number;
  readonly mean_m3s: number;
  readonly slope_m3s2: number;
  readonly rise_ms: number;
}

const fewestParts = 3;
const fewestRests = 24;
/** Neighbouring rests are fitted with what those before have shown: so many together tell as much as one. */
const alike = 8;
/** What a straight line in a rest, and weather that is straight over three, leave open; seen on simulated basins. */
const ofItself = 0.03;
const atLeast_1m = 0.02;
const mostKept = 8192;
const mostStretches = 512;

export function inflowPerLevel(): InflowPerLevelLearner {
  let stretches: InflowStretch[] = [];
  let stopLevel_m: number | null = null;
  let stoppedAt_s = Number.NaN;
  let rests: Rest[] = [];
  let shares: number[] = [];
  let stride = 1;
  let seen = 0;

  function take(rest: Rest): void {
    rests = [...rests, rest].slice(-3);
    const share = shareOf(rests);
    if (share === null || seen++ % stride !== 0) return;
    shares.push(share);
    if (shares.length < mostKept) return;
    shares = shares.filter((_, i) => i % 2 === 0);
    stride *= 2;
  }

  return {
    inflow: (stretch) => {
      stretches.push(stretch);
      if (stretches.length > 2 * mostStretches) stretches = stretches.slice(-mostStretches);
    },
    cycle: ({ startedAt_s, rest_s, startLevel_m, stopLevel_m: stop_m, stoppedAt_s: stopped_s }) => {
      const follows = rest_s !== null && Math.abs(startedAt_s - rest_s - stoppedAt_s) < 1;
      const inRest = stretches.filter(({ from_s, to_s }) => from_s >= stoppedAt_s - 1 && to_s <= startedAt_s + 1);
      stretches = stretches.filter(({ to_s }) => to_s > startedAt_s);
      const rest =
        follows && startLevel_m !== null && stopLevel_m !== null
          ? restOf(inRest, (startLevel_m - stopLevel_m) / rest_s)
          : null;
      if (rest === null) rests = [];
      else take(rest);
      [stopLevel_m, stoppedAt_s] = [stop_m, stopped_s];
    },
    result: () => {
      if (shares.length < fewestRests) return null;
      const share_1m = medianInPlace(Float64Array.from(shares));
      const off = medianInPlace(Float64Array.from(shares, (share) => Math.abs(share - share_1m)));
      // 1.4826 makes a standard deviation of it, 1.2533 a median's uncertainty of a mean's.
      const scatter = (1.4826 * 1.2533 * off) / Math.sqrt((shares.length * stride) / alike);
      return { share_1m, uShare_1m: Math.hypot(scatter, ofItself * share_1m, atLeast_1m) };
    },
  };
}

function restOf(parts: readonly InflowStretch[], rise_ms: number): Rest | null {
  if (parts.length < fewestParts || !(rise_ms > 0)) return null;
  const middles = parts.map(({ from_s, to_s }) => (from_s + to_s) / 2);
  const middle_s = meanOf(middles);
  const mean_m3s = meanOf(parts.map(({ inflow_m3s }) => inflow_m3s));
  let [squares, products] = [0, 0];
  for (const [i, { inflow_m3s }] of parts.entries()) {
    const off_s = (middles[i] ?? middle_s) - middle_s;
    squares += off_s ** 2;
    products += off_s * (inflow_m3s - mean_m3s);
  }
  if (!(squares > 0 && mean_m3s > 0)) return null;
  return { middle_s, mean_m3s, slope_m3s2: products / squares, rise_ms };
}

/** Of the middle one of three rests, what the weather changed from the one before to the one after taken off. */
function shareOf([before, rest, after]: readonly Rest[]): number | null {
  if (before === undefined || rest === undefined || after === undefined) return null;
  const weather = (after.mean_m3s - before.mean_m3s) / (after.middle_s - before.middle_s);
  return (rest.slope_m3s2 - weather) / (rest.rise_ms * rest.mean_m3s);
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
