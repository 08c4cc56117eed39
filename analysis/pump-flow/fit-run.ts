// What the pump moves in one run: how fast the stored volume falls once the pump is up to speed, plus what flows in.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type VolumeCurve, volumeCurve } from "../inflow/rest/volume-curve.ts";
import { type ShortStretchState, singleSd_m3, uSlopeOver } from "../inflow/sensor-errors/short-stretch.ts";
import { type CurveSamples, fitCurve } from "../statistics/fit-curve.ts";
import { uRiseOfSteps } from "../statistics/staircase.ts";
import { leaveOutOfSpinUp, leaveOutRepeats } from "./run-samples.ts";

export interface RunFit {
  /** Stored volume at the stop; null when the last sample stands too long before it to tell. */
  readonly stopVolume_m3: number | null;
  /** From when on the pump was up to speed, in seconds since the start. */
  readonly upToSpeed_s: number;
  /** Middle of the samples behind the fit. */
  readonly middle_s: number;
  /** Mean fall of the stored volume (discharge less inflow) between two times since the start. */
  fall(from_s: number, to_s: number): FlowEstimate;
  volumeAt_m3(t_s: number): number;
  /** By how much the fall slows from the earlier to the later half of what was seen; null when too few samples tell. */
  readonly slowing: Slowing | null;
}

export interface Slowing {
  readonly flow_m3s: number;
  readonly uFlow_m3s: number;
  /** Middles of the two halves. */
  readonly early_s: number;
  readonly late_s: number;
}

/** What is known of the level sensor beside what the run itself shows. */
export interface RunSensor {
  /** Of a sample, as the rest before showed it; null if unknown. */
  readonly sampleSd_m3: number | null;
  /** How its errors tilt a stretch as short as a run. */
  readonly short: ShortStretchState | null;
  /** Its smallest step; Infinity before any is seen. */
  readonly step_m3: number;
  /** Time constant with which it follows the water; 0 for a quick one. */
  readonly lag_s: number;
  /** Stored volume just before the start, by the rest that ended there; null if unknown. */
  readonly startVolume_m3: number | null;
}

const unknownSensor: RunSensor = {
  sampleSd_m3: null,
  short: null,
  step_m3: Number.POSITIVE_INFINITY,
  lag_s: 0,
  startVolume_m3: null,
};

/** The motor, the column of water and the check valve need so long; common practice, no source. */
export const spinUp_s = 3;
/** Pumping time that a start costs: until then it has moved so much less than at full flow; common practice, no source. */
export const lostInSpinUp_s = 0.5;
/** Time constants after which a slow sensor follows the fall; and the share of a run that may go by until then. */
const followed = 4;
const mostLeftOut = 0.6;
const fewest = 4;
/** A slope through fewer samples than this says little of their own noise. */
const enough = 8;
const fewestOfKnownNoise = 2;
/** So many samples show their own noise to an eighth, 1/√(2ν): where it is more than that of the rests, it counts. */
const tellsByItself = 34;

/**
 * Fits the fall of the volume over a run, its spin-up left out.
 *
 * @param samples    volumes in m³ against seconds since the start; the weights are used up
 * @param duration_s length of the run
 * @param seenLate_s how long before its beginning the run began, on the average
 * @param stopSeenLate_s how long before its end the pump stopped, as far as is known
 * @returns undefined when fewer than 4 samples stand after the spin-up, or 2 where their noise is known
 */
export function fitRun(
  samples: CurveSamples,
  duration_s: number,
  seenLate_s = 0,
  sensor: RunSensor = unknownSensor,
  stopSeenLate_s = seenLate_s,
): RunFit | undefined {
  // Where readings come seldom the pump has mostly been up to speed for long when it is first seen to run.
  const quick_s = Math.max(0, Math.min(spinUp_s - 1.2 * seenLate_s, duration_s / 3));
  // What a slow sensor shows at first is still of the rest before.
  const upToSpeed_s = Math.max(quick_s, Math.min(quick_s + followed * sensor.lag_s, duration_s * mostLeftOut));
  leaveOutRepeats(samples, sensor);
  if (upToSpeed_s === 0) leaveOutOfSpinUp(samples, sensor);
  let after = 0;
  let first_s = Number.NaN;
  for (let i = 0; i < samples.count; i += 1) {
    if ((samples.t[i] ?? 0) < upToSpeed_s) samples.weight[i] = 0;
    if (samples.weight[i] === 0) continue;
    if (after === 0) first_s = samples.t[i] ?? 0;
    after += 1;
  }
  const { sampleSd_m3 } = sensor;
  const few = after < enough && sampleSd_m3 !== null;
  if (after < (few ? fewestOfKnownNoise : fewest)) return undefined;
  const known_m3 = (sensor.short && singleSd_m3(sensor.short)) ?? sampleSd_m3 ?? 0;
  const curve = few ? straightThrough(samples, sampleSd_m3) : volumeCurve(samples, null, null, null, known_m3);
  if (curve === undefined) return undefined;
  const last_s = samples.t[samples.count - 1] ?? 0;
  const unseen = unseenInRun(curve, sensor, first_s, last_s, after);
  return {
    stopVolume_m3:
      duration_s - last_s <= Math.max(3, (last_s - upToSpeed_s) / 4)
        ? curve.valueAt(duration_s - Math.min(stopSeenLate_s, duration_s / 2) + sensor.lag_s)
        : null,
    upToSpeed_s,
    middle_s: (first_s + last_s) / 2,
    fall: (from_s, to_s) => {
      const mean = curve.meanSlope(from_s, to_s);
      const uOwn_m3s = Math.sqrt(mean.variance);
      const uUnseen_m3s = unseen.u_m3s * (curve.beyondLine?.(from_s, to_s) ?? 1);
      const shows = unseen.own || (after >= tellsByItself && uOwn_m3s > uUnseen_m3s);
      return {
        flow_m3s: -mean.slope,
        uFlow_m3s: unseen.own ? Math.hypot(uOwn_m3s, uUnseen_m3s) : shows ? uOwn_m3s : uUnseen_m3s,
        degreesOfFreedom: shows ? curve.degreesOfFreedom : Number.POSITIVE_INFINITY,
      };
    },
    volumeAt_m3: curve.valueAt,
    slowing: slowingOf(samples, curve.sampleSd, upToSpeed_s, last_s),
  };
}

/** Noise about as large as a step blurs it: what many rests have shown is then all that there is. */
const blurred = 0.6;
/** A run's residuals that are so many times those of the rests show more than the sensor's errors. */
const more = 1.5;

/**
 * A fall that slows keeps time with the steps in one part and not in another: so many times the error of an even one, as the
 * root of the mean square over falls of all rates that slow by an eighth. Simulated.
 */
const slows = 1.15;

interface UnseenInRun {
  /** Whether the uncertainty that the run's own residuals gave stands as well. */
  readonly own: boolean;
  readonly u_m3s: number;
}

/**
 * What the few residuals of a run do not show: errors that wander for longer than it lasts, and steps that the fall keeps
 * in time with. The rests have shown how the sensor errs.
 */
function unseenInRun(
  curve: VolumeCurve,
  { short, step_m3 }: RunSensor,
  first_s: number,
  last_s: number,
  count: number,
): UnseenInRun {
  const span_s = last_s - first_s;
  const usual_m3s = short === null ? null : uSlopeOver(short, span_s);
  const sd_m3 = (short === null ? null : singleSd_m3(short)) ?? curve.sampleSd;
  const rough = curve.sampleSd > more * sd_m3;
  if (!(Number.isFinite(step_m3) && sd_m3 < blurred * step_m3))
    return { own: usual_m3s === null || rough, u_m3s: usual_m3s ?? 0 };
  const noise_steps = Math.sqrt(Math.max(0, (sd_m3 / step_m3) ** 2 - 1 / 12));
  const rise = (curve.valueAt(last_s) - curve.valueAt(first_s)) / step_m3;
  return { own: rough, u_m3s: (slows * uRiseOfSteps(rise, count, noise_steps) * step_m3) / span_s };
}

/** A line through few samples, their noise known from elsewhere or, where it is more, by what lies off the line. */
function straightThrough(samples: CurveSamples, sampleSd_m3: number): VolumeCurve | undefined {
  const line = fitCurve(samples, 1);
  if (line === undefined) return undefined;
  const own = line.count > 2 ? line.residualSquares / (line.count - 2) : 0;
  const known = sampleSd_m3 ** 2;
  // Clearly off: the noise is not all that there is.
  const variance = own > missed * known ? own : known;
  return {
    valueAt: line.valueAt,
    meanSlope: (from, to) => {
      const { slope, variance: perSample } = line.meanSlope(from, to);
      return { slope, variance: perSample * variance };
    },
    sampleSd: Math.sqrt(variance),
    degreesOfFreedom: own > missed * known ? line.count - 2 : Number.POSITIVE_INFINITY,
    leaking_m3: 0,
  };
}

const missed = 6;

const fewestForSlowing = 8;

/** By a parabola, whether or not it stands clear of the noise: what one run hides many show. */
function slowingOf(samples: CurveSamples, sampleSd_m3: number, from_s: number, to_s: number): Slowing | null {
  const parabola = fitCurve(samples, 2);
  if (parabola === undefined || parabola.count < fewestForSlowing) return null;
  const middle_s = (from_s + to_s) / 2;
  const flow_m3s = parabola.meanSlope(middle_s, to_s).slope - parabola.meanSlope(from_s, middle_s).slope;
  const uFlow_m3s = Math.abs(flow_m3s / parabola.topRatio) * sampleSd_m3;
  if (!(uFlow_m3s > 0 && Number.isFinite(uFlow_m3s))) return null;
  return { flow_m3s, uFlow_m3s, early_s: (from_s + middle_s) / 2, late_s: (middle_s + to_s) / 2 };
}
