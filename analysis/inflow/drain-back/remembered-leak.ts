// A leak that rests have shown, kept through a storm: rests are over then before it is, or bent by the storm, and show none.

import { addFunction } from "../../statistics/extra-function.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { fitPolynomial } from "../../statistics/orthogonal-polynomial.ts";
import { slowlyOut, withinRest } from "./slow-course.ts";
import type { SlowReturn } from "./slow-return.ts";

export interface RememberedLeak {
  /** Null when nothing of the kind comes back. */
  known: SlowReturn | null;
  /** How long the rests are that show it; they may become shorter by and by. */
  shownBy_s: number;
  /** Run and rest together show it, neither by itself; absent: it shows by itself. */
  byGain?: boolean;
  /** For so many rests in a row, long enough for it, they have not shown it. */
  unseen: number;
  /** So many rests in a row were too unlike one another to tell; absent: none. */
  unsure?: number;
  /** What a storm's short rests make of it, beside a straight inflow: sums of precision, and of precision × volume. */
  rests: number;
  precision: number;
  volume: number;
}

export function newRememberedLeak(): RememberedLeak {
  return { known: null, shownBy_s: 0, unseen: 0, rests: 0, precision: 0, volume: 0 };
}

export interface LatestRest {
  readonly duration_s: number;
  /** How long the latest rests were on the average. */
  readonly usually_s: number;
  readonly samples: CurveSamples;
  readonly sd_m3: number;
}

/** Rests that are shorter than this share of what they were are a storm's. Judgement, no source. */
const storms = 0.5;
/** Share of the past that counts on at every new rest: a memory of some fifty. */
const memory = 0.98;
/** A rest so many times longer than a leak takes shows it, whatever storm it is in. Judgement, no source. */
const showsPlainly = 2;
/** A bucket may hide it in some rests, and in fewer after one that shows something else. Judgement, no source. */
const longestUnseen = 4;
const ofThemUnlike = 2;
/** What is as sure as this many times what was known before may take its place: valves wear. Judgement, no source. */
const asSure = 1.5;
/** Of two volumes that differ by so many standard deviations one is not the other, and none is less than another. */
const clearly = 3;
/** Less than this share of a leak is none: inflow that grows within each rest takes off less. Judgement, no source. */
const hardlyAny = 0.5;
const fewestRests = 4;

/**
 * A valve that is mended in a storm leaves short rests straight, each of which the leak would have bent a little: it is
 * forgotten once many of them together show that.
 */
export function noteInStorm(leak: RememberedLeak, rest: LatestRest): void {
  const { known } = leak;
  // What run and rest together show they follow by themselves; how long it would go on they know too badly to ask for its bend.
  if (known === null || leak.byGain === true || !isStorm(leak, rest)) {
    Object.assign(leak, { rests: 0, precision: 0, volume: 0 });
    return;
  }
  const line = fitPolynomial(rest.samples, 1);
  const own = line && addFunction(line, slowlyOut(known));
  if (own === undefined) return;
  const precision = own.norm / rest.sd_m3 ** 2;
  leak.rests = memory * leak.rests + 1;
  leak.precision = memory * leak.precision + precision;
  leak.volume = memory * leak.volume - precision * own.coefficient;
  if (leak.rests < fewestRests) return;
  const most_m3 = leak.volume / leak.precision + clearly / Math.sqrt(leak.precision);
  if (most_m3 < hardlyAny * known.volume_m3) disown(leak);
}

/** Rests that are over long before it is have shown it beside what the pump moved: longer ones will by themselves. */
export function adopt(leak: RememberedLeak, found: SlowReturn): void {
  leak.known = found;
  leak.byGain = true;
  leak.shownBy_s = (showsPlainly * found.time_s) / storms;
}

/** What run and rest together showed is what neither shows any more. */
export function disown(leak: RememberedLeak): void {
  leak.known = null;
  leak.byGain = false;
}

/** The latest rest shows clearly another volume than those before. */
export function noteUnlike(leak: RememberedLeak): void {
  leak.unseen = Math.max(leak.unseen, ofThemUnlike);
}

/** @param now what the latest rests show; null: no leak */
export function remember(leak: RememberedLeak, now: SlowReturn | null, rest: LatestRest): void {
  const { known } = leak;
  if (now !== null) leak.unseen = 0;
  else if (known !== null && known.time_s * showsPlainly <= withinRest[known.course] * rest.duration_s)
    leak.unseen += 1;
  if (known !== null && isStorm(leak, rest) && !takesItsPlace(now, known, leak.unseen)) return;
  leak.known = now;
  leak.byGain = false;
  leak.shownBy_s = Math.max(memory * leak.shownBy_s, rest.usually_s);
}

function isStorm({ shownBy_s }: RememberedLeak, { usually_s }: LatestRest): boolean {
  return usually_s <= storms * shownBy_s;
}

function takesItsPlace(now: SlowReturn | null, known: SlowReturn, unseen: number): boolean {
  if (now === null) return unseen > longestUnseen;
  const off_m3 = Math.abs(now.volume_m3 - known.volume_m3);
  return off_m3 > clearly * Math.hypot(now.uVolume_m3, known.uVolume_m3) || now.uVolume_m3 < asSure * known.uVolume_m3;
}
