// A level sensor that drifts within hours, as an ultrasonic does with the air, tilts every rest and leaves no trace in it.
// The floats give it away: they trip at the same levels each time, but for a scatter that is forgotten from trip to trip. What
// stop levels and start levels wander by, from one to the next, is the sensor's.

import { workplace } from "../../statistics/workplace.ts";

/**
 * One size of the drift that is tried: a random walk beside independent scatter, followed by Kalman's filter (1960). All variances
 * are in those of the scatter, which is not known beforehand.
 */
interface Candidate {
  /** The drift, and by how much start levels lie over stop levels; their covariance. */
  drift_m3: number;
  swing_m3: number;
  driftVariance: number;
  covariance: number;
  swingVariance: number;
  /** Fading sums over the levels that could be foretold: squared misses in variances, and the variances' logarithms. */
  squares_m6: number;
  logs: number;
}

export interface SensorDriftState {
  readonly candidates: Candidate[];
  /** How many levels the sums hold, and how many were taken in since they had to be compared anew. */
  levels: number;
  since: number;
  /** Of rests, since the latest level: runs are short, and a gap counts for none. */
  elapsed_s: number;
}

/** How fast the drift's variance grows, in variances of the scatter for each second; none first. */
const growths_s = [0, 3e-6, 1e-5, 3e-5, 1e-4, 3e-4, 1e-3, 3e-3, 1e-2] as const;
/** Share of the past that counts on at every new level. */
const keeps = 0.992;
/** In shorter rests a storm shifts both levels by what comes in until a reading shows the switch. */
const calmRest_s = 180;
/** As good as unknown. */
const unknown = 1e8;
/** A level that is off by so many standard deviations is something else, from which on levels are compared anew. */
const most = 5;
const fewestForMost = 8;
/** How likely it is that a sensor drifts at all, before the floats have shown anything; and where rests have shown an error that wanders. */
const drifts = 0.05;
const driftsWithOthers = 0.3;

export function newSensorDrift(): SensorDriftState {
  return { candidates: growths_s.map(unseen), levels: 0, since: 0, elapsed_s: 0 };
}

function unseen(): Candidate {
  const unknowns = { driftVariance: unknown, covariance: 0, swingVariance: unknown };
  return { drift_m3: 0, swing_m3: 0, ...unknowns, squares_m6: 0, logs: 0 };
}

/** Takes in the next rest's volumes at its beginning and its end; null for what was not seen. */
export function learnDrift(
  state: SensorDriftState,
  first_m3: number | null,
  last_m3: number | null,
  duration_s: number,
): void {
  const calm = duration_s >= calmRest_s;
  if (calm && first_m3 !== null) takeIn(state, first_m3, 0);
  state.elapsed_s += duration_s;
  if (calm && last_m3 !== null) takeIn(state, last_m3, 1);
}

/** @param isStart 1: a level at which the float started the pump; 0: at which it stopped */
function takeIn(state: SensorDriftState, volume_m3: number, isStart: 0 | 1): void {
  const { candidates, elapsed_s } = state;
  if (!Number.isFinite(volume_m3)) return;
  for (let j = 0; j < candidates.length; j += 1)
    (candidates[j] as Candidate).driftVariance += (growths_s[j] as number) * elapsed_s;
  state.elapsed_s = 0;
  if (state.levels >= fewestForMost && isFarOff(state, volume_m3, isStart)) {
    for (const candidate of candidates) {
      candidate.driftVariance = unknown;
      candidate.swingVariance = unknown;
      candidate.covariance = 0;
    }
    state.since = 0;
  }
  // The first two, of either kind, cannot be foretold.
  const foretold = state.since >= 2;
  if (foretold) state.levels = keeps * state.levels + 1;
  state.since += 1;
  for (const candidate of candidates) update(candidate, volume_m3, isStart, foretold);
}

/** By how much a level lies over what a candidate foretells, and the variance of that. */
function missOf_m3({ drift_m3, swing_m3 }: Candidate, volume_m3: number, isStart: 0 | 1): number {
  return volume_m3 - drift_m3 - isStart * swing_m3;
}

function varianceOf({ driftVariance, covariance, swingVariance }: Candidate, isStart: 0 | 1): number {
  return 1 + driftVariance + isStart * (2 * covariance + swingVariance);
}

/** By whatever size of drift. */
function isFarOff({ candidates, levels }: SensorDriftState, volume_m3: number, isStart: 0 | 1): boolean {
  for (const candidate of candidates) {
    const off = missOf_m3(candidate, volume_m3, isStart) ** 2 / varianceOf(candidate, isStart);
    if (!(off > (most ** 2 * candidate.squares_m6) / levels)) return false;
  }
  return true;
}

function update(candidate: Candidate, volume_m3: number, isStart: 0 | 1, foretold: boolean): void {
  const { driftVariance, covariance, swingVariance } = candidate;
  const miss_m3 = missOf_m3(candidate, volume_m3, isStart);
  const variance = varianceOf(candidate, isStart);
  if (foretold) {
    candidate.squares_m6 = keeps * candidate.squares_m6 + miss_m3 ** 2 / variance;
    candidate.logs = keeps * candidate.logs + Math.log(variance);
  }
  const ofDrift = driftVariance + isStart * covariance;
  const ofSwing = covariance + isStart * swingVariance;
  candidate.drift_m3 += (ofDrift / variance) * miss_m3;
  candidate.swing_m3 += (ofSwing / variance) * miss_m3;
  candidate.driftVariance -= ofDrift ** 2 / variance;
  candidate.covariance -= (ofDrift * ofSwing) / variance;
  candidate.swingVariance -= ofSwing ** 2 / variance;
}

/**
 * Variance that the sensor's drift adds to the rise over a rest, in m⁶ for each second: the mean over the sizes that are
 * tried, each weighed by how likely it makes the levels that were seen (Bayes' rule, the scatter's variance at its best).
 *
 * @param wanders rests by themselves have shown an error that wanders
 */
export function driftPerSecond({ candidates, levels }: SensorDriftState, wanders: boolean): number {
  if (levels < fewestForMost) return 0;
  const prior = wanders ? driftsWithOthers : drifts;
  const likely = likelyIn(candidates.length);
  let best = Number.NEGATIVE_INFINITY;
  for (let j = 0; j < candidates.length; j += 1) {
    const { squares_m6, logs } = candidates[j] as Candidate;
    const before = Math.log(j === 0 ? 1 - prior : prior / (growths_s.length - 1));
    const now = before - (levels * Math.log(squares_m6) + logs) / 2;
    likely[j] = now;
    best = Math.max(best, now);
  }
  if (!Number.isFinite(best)) return 0;
  let sum = 0;
  let all = 0;
  for (let j = 0; j < candidates.length; j += 1) {
    const weight = Math.exp((likely[j] as number) - best);
    all += weight;
    sum += (weight * (growths_s[j] as number) * (candidates[j] as Candidate).squares_m6) / levels;
  }
  // What is likelier none is none: no sensor is vaguer for what its floats do not rule out.
  return all < 2 * Math.exp((likely[0] as number) - best) ? 0 : sum / all;
}

const likelyIn = workplace();
