// The stored volume of a stretch in which water came in all at once, a washing machine or a storm that breaks: straight
// pieces, parted where that leaves the least squares, each as long as the samples allow.

import { type CurveFit, type CurveSamples, fitCurve } from "../../statistics/fit-curve.ts";
import { partOfSamples } from "../../statistics/part-of-samples.ts";
import { scatterOf } from "../sensor-errors/scatter-of-reading.ts";
import { weightOf } from "./condensed.ts";
import type { VolumeCurve } from "./volume-curve.ts";

const fewestInPiece = 3;
/** A break takes three figures, and its place is sought among many: so many variances must it explain. */
const clearBreak = 30;
const mostPieces = 24;
/** Of fewer samples the breaks themselves are too large a part. */
const fewestForNoise = 12;

interface Piece {
  readonly first: number;
  readonly last: number;
  readonly fit: CurveFit;
}

export interface PiecedCurve extends VolumeCurve {
  /** Weighted sum of squares about the pieces, and how many there are. */
  readonly squares: number;
  readonly pieces: number;
  /** The steepest piece rises so many times as fast as the flattest; Infinity where that does not rise. */
  readonly quickens: number;
  /** The volume falls by as much as a good part of what it rises at once by: no water does both, but a sensor that wanders. */
  readonly wanders: boolean;
  /** Most of what it rises by lies between the pieces: a sensor that says its value again and then leaps. */
  readonly leaps: boolean;
}

/**
 * Lines from the first to the last sample of each piece, joined straight; what came in between two times is kept, however
 * suddenly it came.
 *
 * @param usual variance of a sample of weight 1, as known beforehand
 * @returns undefined where one line will do
 */
export function straightPieces(samples: CurveSamples, usual: number): PiecedCurve | undefined {
  const pieces = withoutScrap(
    samples,
    breaksOf(samples, usual).flatMap(([from, to]) => pieceOf(samples, from, to)),
  );
  const [first, last] = [pieces[0], pieces[pieces.length - 1]];
  if (first === undefined || last === undefined || pieces.length < 2) return undefined;
  const squares = pieces.reduce((sum, { fit }) => sum + fit.residualSquares, 0);
  const freedom = Math.max(
    1,
    pieces.reduce((sum, { fit }) => sum + fit.count - 2, 0),
  );
  const variance = squares / freedom;
  // Between two readings no one sees when the stretch began, or ended: of no matter where it goes on at its mean pace.
  const edge_s2 = ((last.last - first.first) / Math.max(1, weightOf(samples) - 1)) ** 2 / 12;
  const [firstPace, lastPace] = [paceOf(first), paceOf(last)];
  const valueAt = (t: number) => at(pieces, t, ({ fit }, when) => fit.valueAt(when), linear);
  return {
    valueAt,
    meanSlope: (from, to) => {
      const alone = pieceAt(pieces, from);
      if (alone === pieceAt(pieces, to)) {
        const mean = alone.fit.meanSlope(from, to);
        return { slope: mean.slope, variance: mean.variance * variance };
      }
      const [a, b] = [varianceAt(pieces, from), varianceAt(pieces, to)];
      const slope = (valueAt(to) - valueAt(from)) / (to - from);
      const edges = edge_s2 * ((firstPace - slope) ** 2 + (lastPace - slope) ** 2);
      return { slope, variance: ((a + b) * variance + edges) / (to - from) ** 2 };
    },
    sampleSd: Math.sqrt(variance),
    degreesOfFreedom: freedom,
    leaking_m3: 0,
    breaks: { first: first.last, last: last.first },
    squares,
    pieces: pieces.length,
    quickens: quickening(pieces.map(paceOf)),
    wanders: wanders(pieces, Math.sqrt(variance)),
    leaps: risesWithin(pieces) < mostWithin * (last.fit.valueAt(last.last) - first.fit.valueAt(first.first)),
  };
}

/** Two samples after what was left out at the beginning make a line of any slope, and would carry it back over all of that. */
function withoutScrap({ t, weight, count }: CurveSamples, pieces: Piece[]): Piece[] {
  const taken = weight.findIndex((w, i) => w > 0 && i < count);
  const [first, ...others] = pieces;
  if (taken <= 0 || first === undefined || others.length === 0) return pieces;
  const third_s = t[taken + fewestInPiece - 1] as number;
  return first.last < third_s ? others : pieces;
}

/** Share of the whole rise that no leaps have within the pieces. */
const mostWithin = 0.5;

function risesWithin(pieces: readonly Piece[]): number {
  return pieces.reduce((sum, { first, last, fit }) => sum + fit.valueAt(last) - fit.valueAt(first), 0);
}

/** Share of the greatest rise by which the volume may yet fall, and of the joints at which it may. Judgement, no source. */
const fallsBy = 0.5;
const fallsAt = 1 / 3;

/** @param sd of a sample: by so much one piece ends higher than the next begins for noise */
function wanders(pieces: readonly Piece[], sd: number): boolean {
  const ends = pieces.map(({ first, last, fit }) => ({ first, last, from: fit.valueAt(first), to: fit.valueAt(last) }));
  const [begin, end] = [ends[0], ends[ends.length - 1]];
  if (begin === undefined || end === undefined) return false;
  const mean = (end.to - begin.from) / (end.last - begin.first);
  let highest = Number.NEGATIVE_INFINITY;
  let falls = 0;
  let rises = 0;
  let falling = 0;
  ends.forEach(({ first, last, from, to }, i) => {
    const before = ends[i - 1] ?? { last: first, to: from };
    highest = Math.max(highest, before.to);
    falls = Math.max(falls, highest - Math.min(from, to));
    rises = Math.max(rises, from - before.to - mean * (first - before.last), to - from - mean * (last - first));
    if (before.to - from > sd) falling += 1;
  });
  return falls > fallsBy * rises && falling > fallsAt * (pieces.length - 1);
}

/** Ranges of indices, in order: the stretch is parted again and again where that helps most. */
function breaksOf(samples: CurveSamples, usual: number): [number, number][] {
  const sums = runningSums(samples);
  const done: [number, number][] = [];
  const left: [number, number][] = [[0, samples.count]];
  for (let range = left.pop(); range !== undefined; range = left.pop()) {
    const [from, to] = range;
    const cut = done.length + left.length < mostPieces ? bestBreak(sums, from, to) : null;
    if (cut === null || !isClear(cut.gain, usual) || !isClear(cut.gain, noiseIn(samples, from, to))) done.push(range);
    else left.push([from, cut.at], [cut.at, to]);
  }
  return done.sort((a, b) => a[0] - b[0]);
}

function isClear(gain: number, variance: number): boolean {
  return gain >= clearBreak * variance;
}

/** Of a sample of weight 1: foam that comes up makes one part of a rest far noisier than the others. */
function noiseIn(samples: CurveSamples, from: number, to: number): number {
  return to - from < fewestForNoise ? 0 : scatterOf(partOfSamples(samples, from, to)).reading_m3 ** 2;
}

function bestBreak(sums: Sums, from: number, to: number): { readonly at: number; readonly gain: number } | null {
  const whole = squaresOf(sums, from, to);
  let best = Number.POSITIVE_INFINITY;
  let at = -1;
  for (let i = from + fewestInPiece; i <= to - fewestInPiece; i += 1) {
    const parted = squaresOf(sums, from, i) + squaresOf(sums, i, to);
    if (!(parted < best)) continue;
    best = parted;
    at = i;
  }
  return at < 0 ? null : { at, gain: whole - best };
}

/** Up to each index: of weights, and of weights times t, t², y, t·y and y², from the stretch's middle. */
interface Sums {
  readonly w: Column;
  readonly wt: Column;
  readonly wtt: Column;
  readonly wy: Column;
  readonly wty: Column;
  readonly wyy: Column;
}

function runningSums({ t, y, weight, count }: CurveSamples): Sums {
  const column = () => new Float64Array(count + 1);
  const sums: Sums = { w: column(), wt: column(), wtt: column(), wy: column(), wty: column(), wyy: column() };
  const { w, wt, wtt, wy, wty, wyy } = sums;
  const [middle_s, middle_m3] = [t[count >> 1] ?? 0, y[count >> 1] ?? 0];
  for (let i = 0; i < count; i += 1) {
    const here = weight[i] as number;
    const x = (t[i] as number) - middle_s;
    const v = (y[i] as number) - middle_m3;
    w[i + 1] = (w[i] as number) + here;
    wt[i + 1] = (wt[i] as number) + here * x;
    wtt[i + 1] = (wtt[i] as number) + here * x * x;
    wy[i + 1] = (wy[i] as number) + here * v;
    wty[i + 1] = (wty[i] as number) + here * x * v;
    wyy[i + 1] = (wyy[i] as number) + here * v * v;
  }
  return sums;
}

type Column = Float64Array;

/** About the line through the samples from index `from` to `to` (not included). */
function squaresOf({ w, wt, wtt, wy, wty, wyy }: Sums, from: number, to: number): number {
  const n = between(w, from, to);
  if (!(n > 0)) return 0;
  const st = between(wt, from, to);
  const stt = between(wtt, from, to);
  const sy = between(wy, from, to);
  const sty = between(wty, from, to);
  const syy = between(wyy, from, to);
  const tt = stt - (st * st) / n;
  const ty = sty - (st * sy) / n;
  const yy = syy - (sy * sy) / n;
  return Math.max(0, yy - (tt > 1e-9 ? (ty * ty) / tt : 0));
}

function between(column: Column, from: number, to: number): number {
  return (column[to] as number) - (column[from] as number);
}

function pieceOf(samples: CurveSamples, from: number, to: number): Piece[] {
  const { t } = samples;
  const fit = fitCurve(partOfSamples(samples, from, to), 1);
  return fit === undefined ? [] : [{ first: t[from] ?? 0, last: t[to - 1] ?? 0, fit }];
}

function quickening(paces: readonly number[]): number {
  const least = Math.min(...paces);
  return least > 0 ? Math.max(...paces) / least : Number.POSITIVE_INFINITY;
}

function paceOf({ first, last, fit }: Piece): number {
  return fit.meanSlope(first, last).slope;
}

/** The last piece that has begun; before all, the first. */
function pieceAt(pieces: readonly Piece[], t: number): Piece {
  return pieces.findLast(({ first }) => first <= t) ?? (pieces[0] as Piece);
}

/** On a piece or beyond the outermost: as that piece says; between two: from the end of one to the beginning of the next. */
function at(
  pieces: readonly Piece[],
  t: number,
  said: (piece: Piece, t: number) => number,
  between: (a: number, b: number, share: number) => number,
): number {
  const here = pieceAt(pieces, t);
  const next = pieces[pieces.indexOf(here) + 1];
  if (next === undefined || t <= here.last || t < here.first) return said(here, t);
  const share = (t - here.last) / (next.first - here.last);
  return between(said(here, here.last), said(next, next.first), share);
}

function linear(a: number, b: number, share: number): number {
  return a + share * (b - a);
}

/** Of the curve's value, in variances of a sample: a line is known best in its middle, and to four times that at its ends. */
function varianceAt(pieces: readonly Piece[], t: number): number {
  const ofPiece = ({ first, last, fit }: Piece, when: number) =>
    (1 + 3 * ((2 * when - first - last) / Math.max(1e-9, last - first)) ** 2) / fit.count;
  return at(pieces, t, ofPiece, (a, b, share) => a * (1 - share) ** 2 + b * share ** 2);
}
