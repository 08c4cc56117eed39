// Inflow over one rest, from the rise of the stored volume: a smooth curve through the samples, the water that ran back
// through the check valve told apart and left out.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { hidesAtOnce_s } from "../../readings/closely-read.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import type { PolynomialFit } from "../../statistics/orthogonal-polynomial.ts";
import { rangeOf } from "../../statistics/range-of.ts";
import {
  believable,
  type DrainBack,
  isLag,
  noReturn,
  noteReturn,
  settlingTime_s,
  usualClosing_m3,
} from "../drain-back/drain-back.ts";
import { findDrainBack } from "../drain-back/find-drain-back.ts";
import {
  learnedLag,
  learnedReturn,
  learnReturn,
  lightenRocking,
  newReturnProfile,
  type ReturnProfileState,
} from "../drain-back/return-profile.ts";
import { back_s } from "../drain-back/seldom-return.ts";
import { slowlyOut } from "../drain-back/slow-course.ts";
import { learnedSlowReturn, learnSlowReturn, type SlowReturn } from "../drain-back/slow-return.ts";
import { heldOff_m3, withHeldOff } from "../drain-back/slowing-inflow.ts";
import { poursAtEnd } from "../poured-in/pouring-in.ts";
import { newNoiseSpectrum } from "../sensor-errors/noise-spectrum.ts";
import { newShortStretch } from "../sensor-errors/short-stretch.ts";
import { condensed, weightOf } from "./condensed.ts";
import { leaveOutOfRuns } from "./of-the-runs.ts";
import type { PlainRest } from "./plain-rest.ts";
import type { RestMemory } from "./rest-memory.ts";
import { addBack, addTo, leaveOutAfter, leaveOutBefore, seenPart } from "./rest-samples.ts";
import { newRestShape } from "./rest-shape.ts";
import { roughCurve } from "./rough-curve.ts";
import type { LeakingBack } from "./shaped-curve.ts";
import { stepMoments } from "./step-moments.ts";
import { type VolumeCurve, volumeCurve } from "./volume-curve.ts";

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
  /** The inflow is by the moments at which a coarse sensor changed its step: its steps make it no less sure. */
  readonly byMoments?: true;
  /** Where water came in by turns: the end of the first of them and the beginning of the last. Absent where it did not. */
  readonly turns_s?: { readonly first: number; readonly last: number };
  /** Mean inflow between two times since the stop, within the part that was seen. */
  inflowOver(from_s: number, to_s: number): FlowEstimate;
  /** Mean inflow over each of `parts` equal stretches of the part that was seen. */
  inflowParts(parts: number): number[];
  /** … and its standard uncertainty by what came all at once; absent where nothing did. */
  readonly uLeapParts?: (parts: number) => number[];
  /** What of it came about the stop and may have run back; absent where nothing did. */
  readonly returnedParts?: (parts: number) => number[];
  /** What of it came all at once and may have been the sensor; absent where nothing did. */
  readonly leapParts?: (parts: number) => number[];
  /**
   * How much of what runs back the samples hold, as they were left by the fit, at a time since the stop; absent where that
   * is no more than a closing valve's.
   */
  readonly heldBack_m3?: (t: number) => number;
  /** What of the water that ran back is off alike in every rest: how much that is neither shows by itself. Absent: nothing. */
  readonly uBackAlike_m3?: number;
  /** Until so long after the stop water runs back of which no reading shows the course; absent where none is known to. */
  readonly backUnseenTo_s?: number;
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
  /** Water that is back before the next reading or two leaks back after every stop; absent: none is known to. */
  readonly leaksUnseen?: boolean;
  /** What the run before lifted, or may have lifted at most: no more can run back. */
  readonly mostReturn_m3: number;
  /** … nor more than the pipe can hold; absent: any pipe may be there. */
  readonly mostFromPipe_m3?: number;
  /** The ends of the rest were read off the level: near them the samples may be of the runs beside it. */
  readonly edgesVague: boolean;
  /** A step of the level sensor, as a volume; 0 or absent where none is known. */
  readonly step_m3?: number;
  /** Standard deviation of a reading as the latest of them show it, as a volume; 0 or absent where that is not known. */
  readonly noise_m3?: number;
  /** What is known of these very samples if they are plain; null or absent where that was not asked, or not found. */
  readonly plain?: PlainRest | null;
}

/** Fewest samples from which a slope with an uncertainty can be had. */
const fewest = 3;
/** Share of the rest that is left for the inflow when returning water takes long. */
const longestSettling = 1 / 3;
/** All that a run lifted may come back, and what is found of either is off by a tenth. Judgement, no source. */
export const mostOfLift = 1.2;
/** Rests in a row in which as much came back are a habit of the valve. */
const habit = 3;
const halfAsLikely = 0.6;
/** Little water that returns quickly is learned no better: its course is seen in a few samples only. */
const uncertainReturn = 0.5;
/** Left out at first, while it is not known yet how long water runs back; but never more than this share of a rest. */
const unlearnedSettling_s = 8;
const shortCut = 0.1;
/** So far from an end that was read off the level the samples are surely the rest's own, and what returns is back. */
const vagueEdge_s = 15;
/** Of longer rests closer readings are left out near either end in any case. */
const shortRest_s = 60;
/** In steps: half a one by rounding, and hardly ever more than twice the scatter that blurs no steps into one another. */
const mostOff = 3;
/** A rest of fewer of those bends at its ends as water does that comes back: it teaches nothing of a leak. */
const fewVagueEdges = 4;

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
  {
    returns,
    memory,
    fall_m3s,
    stopSeen,
    leaksUnseen = false,
    mostReturn_m3,
    mostFromPipe_m3 = Number.POSITIVE_INFINITY,
    edgesVague,
    step_m3 = 0,
    noise_m3 = 0,
    plain = null,
  }: HowToFit,
): RestFit | undefined {
  if (samples.count < fewest) return undefined;
  const most_m3 = Math.min(mostOfLift * mostReturn_m3, mostFromPipe_m3);
  const { seenFrom_s, seenTo_s } = seenPart(samples, duration_s);
  const pouring = memory?.pouring === true;
  const rough = plain ?? roughCurve(samples, seenTo_s, pouring);
  if (rough === undefined) return undefined;
  if (edgesVague && (duration_s < shortRest_s || duration_s >= hidesAtOnce_s * weightOf(samples)))
    leaveOutOfRuns(samples, vagueEdge_s / 3, Math.max(noise_m3, step_m3 / Math.sqrt(12)));

  const beginningSeen = seenFrom_s === 0;
  const short = plain?.short ?? condensed(samples);
  const teaches = seenTo_s === duration_s && !(edgesVague && duration_s < fewVagueEdges * vagueEdge_s);
  // After a rest that ended while much poured in nothing is said, or learned, of a leak.
  const slow =
    memory !== null && stopSeen && beginningSeen && !pouring
      ? // By chance a line may meet every step: the rest is no surer for that than its neighbours (rounding: GUM 4.3.7).
        slowIn(
          memory,
          short,
          { duration_s, teaches, bend: plain?.bend ?? null },
          Math.max(rough.sampleSd_m3, step_m3 / Math.sqrt(12)),
          most_m3,
        )
      : null;
  const moments =
    memory !== null && plain === null && !pouring ? stepMoments(samples, step_m3, rough.sampleSd_m3) : null;
  const both = moments === null ? [samples] : [samples, moments];
  if (slow !== null) addBack([...both, short], slow);
  // What the rests before it was known were short of at first was the leak's, too.
  if (slow !== null && memory !== null && memory.parted !== true) {
    if (returns !== null) Object.assign(returns, newReturnProfile());
    memory.parted = true;
  }
  const held_m3 = slow !== null && slow.slowing_1s > 0 ? heldOff_m3(slow) : null;
  if (held_m3 !== null) addTo([...both, short], held_m3);
  const usual =
    returns === null || !beginningSeen ? noReturn : (learnedLag(returns, fall_m3s) ?? learnedReturn(returns));
  // A run too short to fill the pipe leaves less in it than the usual one.
  const learned = usual !== null && usual.volume_m3 > mostReturn_m3 / 4 ? noReturn : usual;
  const unlike =
    !pouring && (returns === null || learnReturn(returns, short, samples, duration_s, learned, plain !== null));
  const found =
    unlike && beginningSeen && !edgesVague && samples.count >= 12 ? findDrainBack(short, seenTo_s, most_m3) : undefined;
  if (memory !== null) noteReturn(memory, found);
  const usually = (memory?.cameBackInARow ?? 0) >= habit;
  const own = found !== undefined && (usually || believable(found, usual)) ? found : undefined;
  const drainBack = own ?? learned;
  if (own === undefined && learned !== null && learned.volume_m3 !== 0) addBack(both, learned);
  const vague_s = edgesVague ? vagueEdge_s : learned === null && !pouring ? unlearnedSettling_s : 0;
  const unknown_s = leaksUnseen ? back_s : vague_s;
  const settled_s = own ? settlingTime_s(own, rough.sampleSd_m3) : unknown_s;
  const cut_s = Math.min(settled_s, seenTo_s * (own || leaksUnseen ? longestSettling : shortCut));
  if (edgesVague)
    for (const each of both) leaveOutAfter(each, duration_s - Math.min(vagueEdge_s / 3, seenTo_s * shortCut));
  if (returns !== null) lightenRocking(returns, samples);
  const stillReturning = own !== undefined && settled_s > cut_s;
  for (const each of both) leaveOutBefore(each, cut_s);
  const leak = leakIn(stillReturning ? own : null, slow, own === undefined ? learned : null);
  const throughMoments = moments === null || memory === null ? undefined : curveOfMoments(moments, leak, memory);
  const byMoments = throughMoments && staysBy(throughMoments, samples, step_m3) ? throughMoments : undefined;
  // How the rest is bent the moments have told already; how the readings lie about it, they do not.
  const curveMemory = byMoments === undefined || memory === null ? memory : { ...memory, shape: newRestShape() };
  const byReadings = volumeCurve(samples, leak, curveMemory, plain?.sampleSd_m3 ?? null);
  const fitted = byMoments ?? byReadings;
  if (fitted === undefined || byReadings === undefined) return undefined;
  const curve = held_m3 === null ? fitted : withHeldOff(fitted, held_m3);
  if (leavesReadings(fitted, samples, step_m3, seenFrom_s, seenTo_s)) return undefined;
  if (memory !== null) memory.pouring = !edgesVague && poursAtEnd(curve, samples, seenTo_s);
  const slow_m3 = slow === null ? 0 : slow.volume_m3 + (stillReturning ? 0 : curve.leaking_m3);
  const heldBack_m3 = heldBack(stillReturning ? { ...own, volume_m3: curve.leaking_m3 } : own, slow, slow_m3, learned);
  const stillOut_m3 = slow === null ? 0 : slow_m3 * slowlyOut(slow)(duration_s);

  // Before other rests have shown whether the valve lets so much back, it may as well have poured in.
  const strange_m3 = own !== undefined && learned === null ? Math.max(0, own.volume_m3 - usualClosing_m3) : 0;
  const doubt_m3s = (halfAsLikely * strange_m3) / (seenTo_s - seenFrom_s);
  const inflowOver = (from_s: number, to_s: number): FlowEstimate => {
    const mean = curve.meanSlope(from_s, to_s);
    const uFlow_m3s = Math.hypot(Math.sqrt(mean.variance), doubt_m3s);
    return { flow_m3s: mean.slope, uFlow_m3s, degreesOfFreedom: curve.degreesOfFreedom };
  };
  const fit: RestFit = {
    seenFrom_s,
    seenTo_s,
    inflow: inflowOver(seenFrom_s, seenTo_s),
    inflowOver,
    drainBack:
      (returns === null && own === undefined && slow === null) || !beginningSeen || isLag(own ?? learned)
        ? null
        : together(drainBack, slow, slow_m3 - stillOut_m3),
    startVolume_m3: seenFrom_s > 0 ? null : curve.valueAt(0) - stillOut_m3,
    endVolume_m3: seenTo_s < duration_s ? null : curve.valueAt(duration_s) - stillOut_m3,
    sampleSd_m3: byReadings.sampleSd,
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
  const known = {
    ...fit,
    ...(byMoments !== undefined && { byMoments: true as const }),
    ...(heldBack_m3 !== null && { heldBack_m3 }),
    ...(leaksUnseen && slow === null && { backUnseenTo_s: cut_s }),
    ...(slow !== null &&
      memory?.slow.leak.byGain === true && {
        uBackAlike_m3: slow.uVolume_m3 * (1 - slowlyOut(slow)(duration_s)),
      }),
  };
  return curve.breaks === undefined ? known : { ...known, turns_s: curve.breaks };
}

/** What readings show of a rest goes on beside them as it does among them, or some times as fast. Judgement, no source. */
const mostBeyond = 5;

/** Few readings near one another let a curve go anywhere beyond them: no basin that is read to hold so little took in that. */
function leavesReadings(
  { valueAt }: VolumeCurve,
  { t, y, count }: CurveSamples,
  step_m3: number,
  from_s: number,
  to_s: number,
): boolean {
  const rise_m3 = Math.abs(valueAt(to_s) - valueAt(from_s));
  // What lies between the first and the last is asked of all of them only where that could be too little.
  if (rise_m3 <= mostBeyond * Math.abs((y[count - 1] as number) - (y[0] as number))) return false;
  const beyond = (to_s - from_s) / ((t[count - 1] as number) - (t[0] as number));
  return rise_m3 > mostBeyond * Math.max(1, beyond) * (rangeOf(y, count) + step_m3);
}

/** What was put back is all in from the first sample on; what this rest alone showed comes as it did. */
function heldBack(
  own: DrainBack | undefined,
  slow: SlowReturn | null,
  slow_m3: number,
  learned: DrainBack | null,
): ((t: number) => number) | null {
  const putBack_m3 = (slow?.volume_m3 ?? 0) + (own === undefined ? Math.max(0, learned?.volume_m3 ?? 0) : 0);
  if (own === undefined && putBack_m3 <= usualClosing_m3) return null;
  const ownOut = own === undefined ? null : slowlyOut(own);
  const slowOut = slow === null ? null : slowlyOut(slow);
  const besides_m3 = slow_m3 - (slow?.volume_m3 ?? 0);
  return (t) =>
    putBack_m3 +
    (ownOut === null ? 0 : (own?.volume_m3 ?? 0) * (1 - ownOut(t))) +
    (slowOut === null ? 0 : besides_m3 * (1 - slowOut(t)));
}

/** Their errors are their own: what readings have taught of the sensor's noise is not theirs. */
function curveOfMoments(moments: CurveSamples, leak: LeakingBack | null, memory: RestMemory) {
  return volumeCurve(moments, leak, { ...memory, noise: newNoiseSpectrum(), short: newShortStretch() });
}

/** Beyond the first moment and the last, where water that poured in stands still for long, the curve goes on by itself. */
function staysBy({ valueAt }: VolumeCurve, { t, y, weight, count }: CurveSamples, step_m3: number): boolean {
  const staysAt = (i: number) => !(Math.abs((y[i] as number) - valueAt(t[i] as number)) > mostOff * step_m3);
  const [first, last] = [
    weight.findIndex((w, i) => w > 0 && i < count),
    weight.findLastIndex((w, i) => w > 0 && i < count),
  ];
  return first < 0 || (staysAt(first) && staysAt(last));
}

/** What leaks back rest after rest, as far as is known; null when nothing does. Rests seen as a whole are learned from. */
function slowIn(
  memory: RestMemory,
  samples: CurveSamples,
  rest: { readonly duration_s: number; readonly teaches: boolean; readonly bend: PolynomialFit | null },
  sd_m3: number,
  most_m3: number,
): SlowReturn | null {
  if (rest.teaches) learnSlowReturn(memory.slow, samples, rest.duration_s, sd_m3, rest.bend);
  const learned = learnedSlowReturn(memory.slow);
  const believed = learned !== null && learned.volume_m3 <= most_m3;
  // A run too short to fill the pipe leaves less in it, and says nothing of the others.
  memory.leaks = learned !== null && (believed || memory.leaks === true);
  return believed ? learned : null;
}

/** What to fit beside the inflow: water that this rest alone shows, or how it may differ from what was learned. */
function leakIn(own: DrainBack | null, slow: SlowReturn | null, quick: DrainBack | null): LeakingBack | null {
  // Where nearly all is back before the samples that are left, they would make of it what they like.
  if (own !== null) return { stillOut: slowlyOut(own), volume_m3: own.volume_m3, uVolume_m3: own.volume_m3 };
  if (slow !== null) return { stillOut: slowlyOut(slow), volume_m3: 0, uVolume_m3: slow.uVolume_m3 };
  if (quick === null || !(quick.volume_m3 > 0)) return null;
  return { stillOut: slowlyOut(quick), volume_m3: 0, uVolume_m3: uncertainReturn * quick.volume_m3 };
}

function together(quick: DrainBack | null, slow: SlowReturn | null, slow_m3: number): DrainBack | null {
  if (slow === null) return quick;
  return { volume_m3: (quick?.volume_m3 ?? 0) + slow_m3, time_s: slow.time_s, course: slow.course };
}
