// Inflow over one rest, from the rise of the stored volume: a smooth curve through the samples, the water that ran back
// through the check valve told apart and left out.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { varianceInflation } from "../statistics/autocorrelation.ts";
import { type CurveFit, type CurveSamples, fitCurve, fitPolynomial } from "../statistics/fit-curve.ts";
import { medianInPlace } from "../statistics/median.ts";
import { rejectOutliers } from "../statistics/robust-weights.ts";
import { blockMedians, condensed, weightOf } from "./condensed.ts";
import { courseExplains, curveBeside } from "./course-beside.ts";
import { poursAtEnd } from "./pouring-in.ts";
import type { RestMemory } from "./rest-memory.ts";
import { learnedLag, learnedReturn, learnReturn, lightenRocking, type ReturnProfileState } from "./return-profile.ts";
import type { LeakingBack } from "./shaped-curve.ts";
import { learnedSlowReturn, learnSlowReturn, type SlowCourse, type SlowReturn, slowlyOut } from "./slow-return.ts";
import { volumeCurve } from "./volume-curve.ts";

/** Water that returns after a stop: how much, and the time constant with which it comes. */
export interface DrainBack {
  readonly volume_m3: number;
  /** Time constant of a closing valve's exponential, or how long it takes until all is back. */
  readonly time_s: number;
  readonly course: SlowCourse;
}

export interface RestFit {
  /** The part of the rest that the samples show, in seconds since the stop: a curve says nothing far beyond its ends. */
  readonly seenFrom_s: number;
  readonly seenTo_s: number;
  /** Mean over that part, returned water left out. */
  readonly inflow: FlowEstimate;
  /** Null when the samples are too few to tell. */
  readonly drainBack: DrainBack | null;
  /**
   * Stored volume at the beginning of the rest as if the returned water had been there at once, and at its end; null
   * where the samples do not reach.
   */
  readonly startVolume_m3: number | null;
  readonly endVolume_m3: number | null;
  /** Standard deviation of a sample about the curve. */
  readonly sampleSd_m3: number;
  /**
   * Inflow by the last few samples alone, where it stands clear of what the whole rest shows: a storm that breaks just
   * before the pump starts. Else null.
   */
  readonly lastInflow: FlowEstimate | null;
  /** Mean inflow between two times since the stop, within the part that was seen. */
  inflowOver(from_s: number, to_s: number): FlowEstimate;
  /** Mean inflow over each of `parts` equal stretches of the part that was seen. */
  inflowParts(parts: number): number[];
  /** … and what of it came all at once; absent where nothing did. */
  readonly leapParts?: (parts: number) => number[];
}

export interface HowToFit {
  /**
   * Water returned in earlier cycles, for a rest that does not show its own clearly; takes this rest's in. Null when
   * readings are too coarse to show any.
   */
  readonly returns: ReturnProfileState | null;
  /** What earlier rests have shown of noise, bends and leaks; takes this one in. Null for a rest that stands alone. */
  readonly memory: RestMemory | null;
  /** How fast the volume fell in the run before, about; null where that is not known. */
  readonly fall_m3s: number | null;
  /** The rest begins with a stop; else water that runs back has begun to at an unknown time. */
  readonly stopSeen: boolean;
  /** No more water can run back than the run before lifted. */
  readonly mostReturn_m3: number;
  /** The ends of the rest were read off the level: near them the samples may be of the runs beside it. */
  readonly edgesVague: boolean;
}

const noReturn: DrainBack = { volume_m3: 0, time_s: 0, course: "fading" };
/** Fewest samples from which a slope with an uncertainty can be had. */
const fewest = 3;
/** A curve carries on for so much of the rest, or twice as far as its samples stand apart. */
const carriesOn = 0.15;
/** Share of the rest that is left for the inflow when returning water takes long. */
const longestSettling = 1 / 3;
/** Without noise the digits' own rounding may look like a course: no volume is known better than to a millilitre. */
const least_m3 = 1e-6;
/** More than a closing valve lets through; common practice, no source. */
const closing_m3 = 0.002;
/** Volumes that are fitted by different courses differ by so much. */
const muchAlike = 0.4;
const habit = 3;
/** What most of them let through at the most; common practice, no source. */
export const usualClosing_m3 = 0.0005;
const halfAsLikely = 0.6;
/** Little water that returns quickly is learned no better: its course is seen in a few samples only. */
const uncertainReturn = 0.5;
/** What takes longer one rest alone cannot tell from inflow that changes: see slow-return.ts. */
const longestFading_s = 20;
const longestSteady_s = 15;
/** No sensor of level reads closer together than this to any use. */
const finest_s = 0.1;
/** Left out at first, while it is not known yet how long water runs back; but never more than this share of a rest. */
const unlearnedSettling_s = 8;
const shortCut = 0.1;
/** So far from an end that was read off the level the samples are surely the rest's own, and what returns is back. */
const vagueEdge_s = 15;

/**
 * Fits V(t) = polynomial(t) − D·f(t), t from the pump's stop; the polynomial bends as far as this rest and those before it
 * show (see shaped-curve.ts); D and its course f only where they stand clear of the noise, in this rest or over many. The
 * inflow is the polynomial's mean slope over the rest, as far as the samples show it.
 *
 * @param samples     volumes in m³ against seconds since the stop; the weights are used up (outliers get 0)
 * @param duration_s  length of the rest
 * @param how         what is known of how water runs back, and how well the rest's ends are known
 * @returns undefined with fewer than 3 samples or when they stand at one time
 */
export function fitRest(
  samples: CurveSamples,
  duration_s: number,
  { returns, memory, fall_m3s, stopSeen, mostReturn_m3, edgesVague }: HowToFit,
): RestFit | undefined {
  if (samples.count < fewest) return undefined;
  const lastRise = edgesVague ? null : riseOfEnd(samples);
  const { seenFrom_s, seenTo_s } = seenPart(samples, duration_s);
  const pouring = memory?.pouring === true;
  const rough = roughCurve(samples, seenTo_s, pouring);
  if (rough === undefined) return undefined;

  const beginningSeen = seenFrom_s === 0;
  const short = condensed(samples);
  const whole = seenTo_s === duration_s;
  // After a rest that ended while much poured in nothing is said, or learned, of a leak.
  const slow =
    memory !== null && stopSeen && beginningSeen && !pouring
      ? slowIn(memory, short, { duration_s, whole }, rough.sampleSd_m3, mostReturn_m3)
      : null;
  if (slow !== null) addBack([samples, short], slow);
  const usual =
    returns === null || !beginningSeen ? noReturn : (learnedLag(returns, fall_m3s) ?? learnedReturn(returns));
  // A run too short to fill the pipe leaves less in it than the usual one.
  const learned = usual !== null && usual.volume_m3 > mostReturn_m3 / 4 ? noReturn : usual;
  const unlike = !pouring && (returns === null || learnReturn(returns, short, samples, duration_s, learned));
  const found =
    unlike && beginningSeen && !edgesVague && samples.count >= 12
      ? findDrainBack(short, seenTo_s, mostReturn_m3)
      : undefined;
  if (memory !== null) noteReturn(memory, found);
  const usually = (memory?.cameBackInARow ?? 0) >= habit;
  const own = found !== undefined && (usually || believable(found, learned)) ? found : undefined;
  const drainBack = own ?? learned;
  if (own === undefined && learned !== null && learned.volume_m3 !== 0) addBack([samples], learned);
  const unknown_s = edgesVague ? vagueEdge_s : learned === null && !pouring ? unlearnedSettling_s : 0;
  const settled_s = own ? settlingTime_s(own, rough.sampleSd_m3) : unknown_s;
  const cut_s = Math.min(settled_s, seenTo_s * (own ? longestSettling : shortCut));
  if (edgesVague) leaveOutAfter(samples, duration_s - Math.min(vagueEdge_s / 3, seenTo_s * shortCut));
  if (returns !== null) lightenRocking(returns, samples);
  const stillReturning = own !== undefined && settled_s > cut_s;
  leaveOutBefore(samples, cut_s);
  const curve = volumeCurve(
    samples,
    leakIn(stillReturning ? own : null, slow, own === undefined ? learned : null),
    memory,
  );
  if (curve === undefined) return undefined;
  if (memory !== null) memory.pouring = !edgesVague && poursAtEnd(curve, samples, seenTo_s);
  const slow_m3 = slow === null ? 0 : slow.volume_m3 + (stillReturning ? 0 : curve.leaking_m3);
  const stillOut_m3 = slow === null ? 0 : slow_m3 * slowlyOut(slow)(duration_s);

  // Before other rests have shown whether the valve lets so much back, it may as well have poured in.
  const strange_m3 = own !== undefined && learned === null ? Math.max(0, own.volume_m3 - usualClosing_m3) : 0;
  const doubt_m3s = (halfAsLikely * strange_m3) / (seenTo_s - seenFrom_s);
  const inflowOver = (from_s: number, to_s: number): FlowEstimate => {
    const mean = curve.meanSlope(from_s, to_s);
    const uFlow_m3s = Math.hypot(Math.sqrt(mean.variance), doubt_m3s);
    return { flow_m3s: mean.slope, uFlow_m3s, degreesOfFreedom: curve.degreesOfFreedom };
  };
  return {
    seenFrom_s,
    seenTo_s,
    inflow: inflowOver(seenFrom_s, seenTo_s),
    inflowOver,
    lastInflow: lastRise === null ? null : clearOf(inflowOver(seenTo_s * 0.9, seenTo_s), lastRise, curve.sampleSd),
    drainBack:
      (returns === null && own === undefined && slow === null) || !beginningSeen || isLag(own ?? learned)
        ? null
        : together(drainBack, slow, slow_m3 - stillOut_m3),
    startVolume_m3: seenFrom_s > 0 ? null : curve.valueAt(0) - stillOut_m3,
    endVolume_m3: seenTo_s < duration_s ? null : curve.valueAt(duration_s) - stillOut_m3,
    sampleSd_m3: curve.sampleSd,
    inflowParts: (parts) => {
      const length_s = (seenTo_s - seenFrom_s) / parts;
      const flows: number[] = [];
      let before_m3 = curve.valueAt(seenFrom_s);
      for (let i = 1; i <= parts; i += 1) {
        const after_m3 = curve.valueAt(seenFrom_s + i * length_s);
        flows.push((after_m3 - before_m3) / length_s);
        before_m3 = after_m3;
      }
      return flows;
    },
  };
}

/** What leaks back rest after rest, as far as is known; null when nothing does. Rests seen as a whole are learned from. */
function slowIn(
  { slow }: RestMemory,
  samples: CurveSamples,
  { duration_s, whole }: { readonly duration_s: number; readonly whole: boolean },
  sd_m3: number,
  most_m3: number,
): SlowReturn | null {
  if (whole) learnSlowReturn(slow, samples, duration_s, sd_m3);
  const learned = learnedSlowReturn(slow);
  return learned === null || learned.volume_m3 > most_m3 ? null : learned;
}

/** A valve that never let much through does not do so once; then something else came in after the stop. */
function believable({ volume_m3, course }: DrainBack, learned: DrainBack | null): boolean {
  if (volume_m3 < closing_m3) return true;
  return learned === null ? course === "fading" : volume_m3 < 3 * learned.volume_m3;
}

/** What comes back through a valve comes again after the next run; what pours in does not for long, and never as much. */
function noteReturn(memory: RestMemory, found: DrainBack | undefined): void {
  const [before_m3, now_m3] = [memory.cameBack_m3, found?.volume_m3 ?? null];
  memory.cameBack_m3 = now_m3;
  const asBefore =
    before_m3 !== null && now_m3 !== null && Math.abs(now_m3 - before_m3) < muchAlike * Math.max(before_m3, now_m3);
  memory.cameBackInARow = now_m3 === null ? 0 : asBefore ? memory.cameBackInARow + 1 : 1;
}

/** What to fit beside the inflow: water that this rest alone shows, or how it may differ from what was learned. */
function leakIn(own: DrainBack | null, slow: SlowReturn | null, quick: DrainBack | null): LeakingBack | null {
  if (own !== null) return { stillOut: slowlyOut(own), volume_m3: 0, uVolume_m3: Number.POSITIVE_INFINITY };
  if (slow !== null) return { stillOut: slowlyOut(slow), volume_m3: 0, uVolume_m3: slow.uVolume_m3 };
  if (quick === null || !(quick.volume_m3 > 0)) return null;
  return { stillOut: slowlyOut(quick), volume_m3: 0, uVolume_m3: uncertainReturn * quick.volume_m3 };
}

/** What a slow sensor has still to show of the run hides what runs back meanwhile. */
function isLag(drainBack: DrainBack | null): boolean {
  return drainBack !== null && drainBack.volume_m3 < 0;
}

function together(quick: DrainBack | null, slow: SlowReturn | null, slow_m3: number): DrainBack | null {
  if (slow === null) return quick;
  return { volume_m3: (quick?.volume_m3 ?? 0) + slow_m3, time_s: slow.time_s, course: slow.course };
}

const lastSamples = 9;

interface Rise {
  readonly slope: number;
  /** Of a slope through so many samples, at unit standard deviation of a sample. */
  readonly uPerSd: number;
}

/** Median of the slopes between all pairs of the last samples (Theil and Sen), which a spike or two cannot lead astray. */
function riseOfEnd({ t, y, weight, count }: CurveSamples): Rise | null {
  const from = count - lastSamples;
  if (from < lastSamples || (weight[count - 1] ?? 0) !== 1) return null;
  const slopes: number[] = [];
  for (let i = from; i < count; i += 1) {
    for (let j = i + 1; j < count; j += 1) {
      const apart = (t[j] ?? 0) - (t[i] ?? 0);
      if (apart > 0) slopes.push(((y[j] ?? 0) - (y[i] ?? 0)) / apart);
    }
  }
  const span = (t[count - 1] ?? 0) - (t[from] ?? 0);
  if (slopes.length === 0 || !(span > 0)) return null;
  return { slope: medianInPlace(slopes), uPerSd: Math.sqrt(12 / lastSamples) / span };
}

function clearOf(curve: FlowEstimate, { slope, uPerSd }: Rise, sampleSd_m3: number): FlowEstimate | null {
  const uFlow_m3s = 1.2 * uPerSd * sampleSd_m3;
  const clear = slope - curve.flow_m3s > Math.max(6 * uFlow_m3s, 0.3 * Math.abs(curve.flow_m3s));
  return clear ? { flow_m3s: slope, uFlow_m3s, degreesOfFreedom: lastSamples - 2 } : null;
}

function seenPart(samples: CurveSamples, duration_s: number): { seenFrom_s: number; seenTo_s: number } {
  const { t, count } = samples;
  const first_s = t[0] ?? 0;
  const last_s = t[count - 1] ?? 0;
  const taken = weightOf(samples);
  const reach_s = Math.max(carriesOn * duration_s, (2 * (last_s - first_s)) / Math.max(1, taken - 1));
  return {
    seenFrom_s: first_s > reach_s ? first_s : 0,
    seenTo_s: duration_s - last_s > reach_s ? last_s : duration_s,
  };
}

/** A first curve that spikes cannot lead astray; gives spikes the weight 0. The first part of the rest is judged later. */
function roughCurve(samples: CurveSamples, duration_s: number, pouring: boolean): { sampleSd_m3: number } | undefined {
  const early = indexAt(samples, Math.min(60, duration_s * 0.25));
  const from = samples.count - early >= 8 ? early : 0;
  const later = tail(samples, from);
  const degree = later.count >= 12 ? 2 : 1;
  let sampleSd_m3 = Number.NaN;
  // Through medians one look is enough; through single samples spikes bend the curve by which they are judged.
  const medians = blockMedians(later);
  const rounds = medians === later ? 3 : 1;
  for (let round = 0; round < rounds; round += 1) {
    const fit = fitCurve(medians, degree) ?? fitCurve(medians, 1);
    if (fit === undefined) return undefined;
    const sd = rejectOutliers(later, fit);
    if (sd > 0.95 * sampleSd_m3) break;
    sampleSd_m3 = sd;
  }
  dropLoneSpikes(samples, pouring ? 2 : 0, from, 5 * sampleSd_m3);
  return { sampleSd_m3 };
}

/** In the first part returning water bends the curve, so only one or two samples off all their neighbours are spikes there. */
function dropLoneSpikes({ y, weight }: CurveSamples, from: number, to: number, limit_m3: number): void {
  for (let i = from; i < to; i += 1) {
    const here = y[i] ?? Number.NaN;
    const before = y[i - 1] ?? y[i + 2] ?? Number.NaN;
    const after = y[i + 1] ?? y[i - 2] ?? Number.NaN;
    if (standsOff(here, here, before, after, limit_m3)) weight[i] = 0;
    else if (standsOff(here, after, before, y[i + 2] ?? Number.NaN, limit_m3)) weight.fill(0, i, i + 2);
  }
}

/** Whether both of a pair lie over, or both under, both of their neighbours by more than the limit. */
function standsOff(a: number, b: number, before: number, after: number, limit: number): boolean {
  return Math.min(a, b) - Math.max(before, after) > limit || Math.min(before, after) - Math.max(a, b) > limit;
}

/** The best τ on a geometric grid, if the returned water explains far more than the noise and more than a bend does. */
function findDrainBack(short: CurveSamples, duration_s: number, most_m3: number): DrainBack | undefined {
  const plain = fitPolynomial(short, 2);
  const bent = fitPolynomial(short, 3);
  if (plain === undefined || bent === undefined) return undefined;
  // The third sample must still see it come: two could be off by chance. Readings of one time stand no time apart.
  const interval_s = Math.max(finest_s, (short.t[2] ?? 2) / 2, (short.t[1] ?? 1) - (short.t[0] ?? 0));
  const beside = curveBeside(plain);
  let best: (DrainBack & { readonly residualSquares: number }) | undefined;
  const tryCourse = (course: DrainBack["course"], time_s: number) => {
    const tried = courseExplains(beside, { time_s, course });
    if (tried === null) return;
    const residualSquares = plain.residualSquares - tried.coefficient ** 2 * tried.norm;
    if (best && residualSquares >= best.residualSquares) return;
    best = { volume_m3: -tried.coefficient, time_s, course, residualSquares };
  };
  const shortest_s = Math.max(0.7 * interval_s, 0.3);
  for (let time_s = shortest_s; time_s <= Math.min(longestFading_s, duration_s / 8); time_s *= 1.5)
    tryCourse("fading", time_s);
  for (let time_s = 4 * interval_s; time_s <= Math.min(longestSteady_s, duration_s / 3); time_s *= 1.35)
    tryCourse("steady", time_s);
  for (const factor of [0.8, 0.89, 0.95, 1.05, 1.11, 1.2]) {
    if (best) tryCourse(best.course, Math.max(shortest_s, best.time_s * factor));
  }
  if (best === undefined || !(best.volume_m3 > least_m3) || best.volume_m3 > most_m3) return undefined;
  const course = slowlyOut(best);
  const fit = fitCurve(short, 2, course);
  if (fit === undefined) return undefined;
  const variance = best.residualSquares / Math.max(1, plain.used - 4);
  // A sensor that wanders bends a curve too: what stands out must stand out of that.
  const noise = variance * varianceInflation(scaledResiduals(short, fit.valueAt));
  const clear = plain.residualSquares - best.residualSquares > 25 * noise;
  const moreThanABend = bent.residualSquares - best.residualSquares > 9 * noise;
  return clear && moreThanABend && !rocks(short, fit, course, variance) ? best : undefined;
}

/** The surface rocks for so long after a stop, and readings once a second may make a slow wave of it. */
const rocks_s = 25;
/** What is left over while the water comes back, against what it is: of a return little, of a wave about as much. */
const mostLeft = 0.35;

function rocks(short: CurveSamples, fit: CurveFit, course: (t: number) => number, variance: number): boolean {
  const { t, y, weight } = short;
  let left = 0;
  let returning = 0;
  for (let i = 0; i < short.count && (t[i] ?? 0) < rocks_s; i += 1) {
    const w = weight[i] ?? 0;
    const at_s = t[i] ?? 0;
    left += w * ((y[i] ?? 0) - fit.valueAt(at_s)) ** 2 - (w > 0 ? variance : 0);
    returning += w * (fit.extraCoefficient * course(at_s)) ** 2;
  }
  return left > mostLeft * returning;
}

function scaledResiduals({ t, y, weight, count }: CurveSamples, curve: (t: number) => number): Float64Array {
  const residuals = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    residuals[i] = ((y[i] ?? 0) - curve(t[i] ?? 0)) * Math.sqrt(weight[i] ?? 0);
  }
  return residuals;
}

/** When what is still to come is a twentieth of a sample's noise. */
function settlingTime_s({ volume_m3, time_s, course }: DrainBack, sampleSd_m3: number): number {
  if (course === "steady") return time_s;
  return time_s * Math.log(Math.max(volume_m3 / (0.05 * sampleSd_m3), Math.E));
}

/** Puts water that is still out back as if it had come at once. */
function addBack(those: readonly CurveSamples[], drainBack: DrainBack): void {
  const left = slowlyOut(drainBack);
  const until_s = 20 * drainBack.time_s;
  for (const { t, y, count } of new Set(those)) {
    for (let i = 0; i < count && (t[i] as number) < until_s; i += 1) {
      y[i] = (y[i] as number) + drainBack.volume_m3 * left(t[i] as number);
    }
  }
}

function leaveOutBefore(samples: CurveSamples, time_s: number): void {
  for (let i = 0; i < samples.count && (samples.t[i] ?? 0) < time_s; i += 1) samples.weight[i] = 0;
}

function leaveOutAfter(samples: CurveSamples, time_s: number): void {
  for (let i = samples.count - 1; i >= 0 && (samples.t[i] ?? 0) > time_s; i -= 1) samples.weight[i] = 0;
}

function indexAt(samples: CurveSamples, time_s: number): number {
  let i = 0;
  while (i < samples.count && (samples.t[i] ?? 0) < time_s) i += 1;
  return i;
}

function tail(samples: CurveSamples, from: number): CurveSamples {
  return {
    t: samples.t.subarray(from, samples.count),
    y: samples.y.subarray(from, samples.count),
    weight: samples.weight.subarray(from, samples.count),
    count: samples.count - from,
  };
}
