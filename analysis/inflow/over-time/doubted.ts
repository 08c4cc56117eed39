// Water that looked like inflow and may prove to be none: what leaks back before the leak is known, a level that leaps when
// its sensor is set anew. The peaks are kept without it as well, until it is known or long past.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { addStretch, inTouch_s, newPeaks, type PeaksState, windows_s } from "./rolling-peaks.ts";
import { cornersOf } from "./volume-corners.ts";

export type DoubtKind = "returned" | "leapt";

/** What was the highest, per window: all of it plain data. */
type Highest = Pick<PeaksState, "peaks" | "clear" | "uAlone_m3s" | "alike">;

export interface Doubt {
  readonly kind: DoubtKind;
  readonly from_s: number;
  readonly to_s: number;
  /** All of it; and what of it, beside a leap, may have run back: absent without any. */
  readonly volume_m3: number;
  readonly beside_m3?: number;
  /** The peaks as they stood before it; null: as before the doubt before it. */
  before: Highest | null;
  /** Those since it, up to the next doubt, without what is in doubt; null while it is the newest, or later ones are higher. */
  without: Highest | null;
}

export interface DoubtedState {
  /** Oldest first. */
  readonly doubts: Doubt[];
  /** The same inflow without what is in doubt; its peaks are those since the newest doubt. Null while there is none. */
  without: PeaksState | null;
  /** What has been told of already. */
  leakKnown: boolean;
  leapKnown: boolean;
}

export function newDoubted(): DoubtedState {
  return { doubts: [], without: null, leakKnown: false, leapKnown: false };
}

const mostDoubts = 128;
/** What takes longer to be known is not known by what was learned since. */
const longest_s = 4 * 86_400;
/** Doubts of one cause come cycle by cycle: no more than so many times as far apart as they last. */
const apart = 6;
/** … where readings fall about few of the stops. */
const apartSeldom = 30;
/** A leak that wears, or began within a rest, gave no more than so many times what is learned of it. */
const mostOfLeak = 2.5;
/** Of a doubt of which slowing inflow makes more than this share the leak has not begun. */
const mostOfSlowing = 0.8;
/** For a cycle or two it may be known already, and little of it is left in doubt: each of them is a rest and a run. */
const mostSince = 5;
const littleOfLeak = 0.2;
const leapOfLeak = 0.5;
/** A leap is the sensor's where it is as much as the trips have moved by, but for this share. */
const alike = 0.3;
/** How well water that ran back is known, as a share of it; a leap as well as its rest shows it. Judgement, no source. */
const uShare = 0.15;
/** Of a figure that may lie anywhere from itself to what is in doubt under it, so that 95 % of it holds both. */
const ofDoubt = 1 / 1.96;

/**
 * By how much a flow is less sure for what is in doubt of it: a leap is all or nothing. What may run back is little beside
 * a storm, and known for what it is within some cycles.
 */
export function uDoubt_m3s({ doubt }: Pick<FlowEstimate, "doubt">): number {
  return doubt?.kind === "leapt" ? ofDoubt * doubt.flow_m3s : 0;
}

/** Takes in a stretch of known inflow, before the peaks do. */
export function addDoubted(
  state: DoubtedState,
  peaks: PeaksState,
  from_s: number,
  to_s: number,
  parts: readonly FlowEstimate[],
  estimate: number,
): void {
  const length_s = (to_s - from_s) / parts.length;
  const kind = parts.find(({ doubt }) => doubt !== undefined)?.doubt?.kind;
  if (kind !== undefined) {
    const volume_m3 = length_s * parts.reduce((sum, { doubt }) => sum + inDoubt_m3s(doubt), 0);
    const beside_m3 = length_s * parts.reduce((sum, { doubt }) => sum + (doubt?.beside_m3s ?? 0), 0);
    const begun = { kind, from_s, to_s, volume_m3, ...(beside_m3 > 0 && { beside_m3 }) };
    beginDoubt(state, peaks, begun);
    peaks.totalVariance_m6 += uLeap_m3(begun) ** 2;
  }
  const { without, doubts } = state;
  if (without === null) return;
  parts.forEach(({ flow_m3s, uFlow_m3s, uBend_m3s, uUpTo_m3, doubt }, i) => {
    const off_m3s = inDoubt_m3s(doubt);
    const uNotNoise_m3s = doubt?.kind === "returned" ? uShare * off_m3s : 0;
    const beside = { uBend_m3s, uUpTo_m3: doubt === undefined ? uUpTo_m3 : undefined, uNotNoise_m3s };
    const start_s = from_s + i * length_s;
    addStretch(without, start_s, start_s + length_s, flow_m3s - off_m3s, uFlow_m3s, estimate, beside);
  });
  while (doubts.length > mostDoubts || (doubts[0]?.to_s ?? to_s) < to_s - longest_s) forgetOldest(doubts);
  if (doubts.length === 0) state.without = null;
}

function inDoubt_m3s(doubt: FlowEstimate["doubt"]): number {
  return doubt === undefined ? 0 : doubt.flow_m3s + (doubt.beside_m3s ?? 0);
}

function beginDoubt(state: DoubtedState, peaks: PeaksState, of: Omit<Doubt, "before" | "without">): void {
  const newest = state.doubts[state.doubts.length - 1];
  if (newest !== undefined && state.without !== null) {
    const since = highestOf(state.without);
    for (const older of state.doubts) if (older.without !== null && isBelow(older.without, since)) older.without = null;
    newest.without = since;
  }
  const corners = state.without ?? peaks;
  state.without = {
    ...newPeaks(),
    unknownUpTo_s: corners.unknownUpTo_s,
    ...cornersOf(corners),
  };
  const before = highestOf(peaks);
  const known = state.doubts.findLast((doubt) => doubt.before !== null)?.before;
  const same = known?.peaks.every((peak, w) => height(before, w) === (peak?.inflow_m3s ?? Number.NEGATIVE_INFINITY));
  state.doubts.push({ ...of, before: same === true ? null : before, without: null });
}

function forgetOldest(doubts: Doubt[]): void {
  const [oldest, next] = [doubts.shift(), doubts[0]];
  if (next !== undefined) next.before ??= oldest?.before ?? null;
}

function isBelow(lower: Highest, higher: Highest): boolean {
  return windows_s.every((_, w) => height(lower, w) <= height(higher, w));
}

function height({ peaks }: Highest, w: number): number {
  return peaks[w]?.inflow_m3s ?? Number.NEGATIVE_INFINITY;
}

function highestOf({ peaks, clear, uAlone_m3s, alike: many }: PeaksState): Highest {
  return { peaks: [...peaks], clear: [...clear], uAlone_m3s: [...uAlone_m3s], alike: [...many] };
}

/**
 * It is known now that water runs back: takes what the latest cycles showed of it out of the peaks, and out of the sum over
 * everything.
 *
 * @param volume_m3 what comes back after every stop
 * @param seldomSeen it shows after few of the stops
 * @param bend_m3s2 of the inflow's own volume: where that slows within a rest, it was in doubt for that, too
 */
export function disproveReturned(
  state: DoubtedState,
  peaks: PeaksState,
  volume_m3: number,
  seldomSeen = false,
  bend_m3s2 = 0,
): void {
  const first = beginningOfLeak(state.doubts, volume_m3, seldomSeen ? apartSeldom : apart, bend_m3s2);
  if (first === null) return;
  const since = state.doubts.slice(first);
  const all_m3 = since.reduce((sum, doubt) => sum + doubt.volume_m3 - ofSlowing_m3(doubt, bend_m3s2), 0);
  const returned_m3 = all_m3 - since.reduce((sum, doubt) => sum + leap_m3(doubt), 0);
  const leaps_m6 = since.reduce((sum, doubt) => sum + uLeap_m3(doubt) ** 2, 0);
  takePeaksWithout(state, peaks, first);
  peaks.totalVolume_m3 -= all_m3;
  peaks.totalVariance_m6 += (uShare * returned_m3) ** 2 - leaps_m6;
}

/** It is known now that the newest leap of this size was the sensor's. */
export function disproveLeap(state: DoubtedState, peaks: PeaksState, volume_m3: number): void {
  const leap = state.doubts.findLast(
    (doubt) => doubt.kind === "leapt" && Math.abs(leap_m3(doubt) - volume_m3) < alike * volume_m3,
  );
  if (leap !== undefined) disproveDoubt(state, peaks, leap, leap_m3(leap));
}

/**
 * It is known now of one doubt that so much of it was the sensor's. What came in after it stays in the sum, but where it was
 * doubted itself no peak can be told from the leap any more.
 */
export function disproveDoubt(state: DoubtedState, peaks: PeaksState, doubt: Doubt, volume_m3: number): void {
  takePeaksWithout(state, peaks, state.doubts.indexOf(doubt));
  peaks.totalVolume_m3 -= volume_m3;
  peaks.totalVariance_m6 -= uLeap_m3(doubt) ** 2;
}

/** The peaks as they were before a doubt, and since it without what was in doubt then; nothing is in doubt any more. */
function takePeaksWithout(state: DoubtedState, peaks: PeaksState, first: number): void {
  const { doubts, without } = state;
  if (without === null) return;
  const before = doubts.slice(0, first + 1).findLast((doubt) => doubt.before !== null)?.before ?? highestOf(newPeaks());
  const found = [...doubts.slice(first).flatMap((doubt) => doubt.without ?? []), highestOf(without)];
  for (let w = 0; w < windows_s.length; w += 1) takeHighest(peaks, w, [before, ...found]);
  Object.assign(peaks, { ...cornersOf(without), unknownUpTo_s: without.unknownUpTo_s });
  doubts.length = 0;
  state.without = null;
}

type OfWhat = Pick<Doubt, "kind" | "volume_m3" | "beside_m3">;

function leap_m3({ kind, volume_m3, beside_m3 = 0 }: OfWhat): number {
  return kind === "leapt" ? volume_m3 - beside_m3 : 0;
}

/** Of the sum over everything; it stays where nobody ever learns what the leap was. */
function uLeap_m3(doubt: OfWhat): number {
  return ofDoubt * leap_m3(doubt);
}

function takeHighest(peaks: PeaksState, w: number, among: readonly Highest[]): void {
  const best = among.reduce((a, b) => (height(b, w) > height(a, w) ? b : a));
  peaks.peaks[w] = best.peaks[w] ?? null;
  const clear = among.flatMap((one) => one.clear[w] ?? []);
  peaks.clear[w] = clear.length === 0 ? null : clear.reduce((a, b) => (b.inflow_m3s > a.inflow_m3s ? b : a));
  peaks.uAlone_m3s[w] = best.uAlone_m3s[w] ?? 0;
  peaks.alike[w] = best.alike[w] ?? 0;
  peaks.newest_m3s[w] = Number.NEGATIVE_INFINITY;
}

/**
 * From the newest back, cycle by cycle. A part of what runs back may look like a leap; the newest shows nothing of
 * what came back since.
 */
function beginningOfLeak(
  doubts: readonly Doubt[],
  volume_m3: number,
  mostApart: number,
  bend_m3s2: number,
): number | null {
  let first: number | null = null;
  for (let i = doubts.length - 1; i >= 0; i -= 1) {
    const doubt = doubts[i] as Doubt;
    const slowing_m3 = ofSlowing_m3(doubt, bend_m3s2);
    const leapt_m3 = leap_m3(doubt);
    const ran_m3 = doubt.volume_m3 - leapt_m3 - slowing_m3;
    const known = first === null && i >= doubts.length - mostSince;
    if (known && ran_m3 < littleOfLeak * volume_m3 && leapt_m3 < leapOfLeak * volume_m3) continue;
    if (leapt_m3 + ran_m3 > mostOfLeak * volume_m3) break;
    if (leapt_m3 > ran_m3 && first === null) break;
    // The valve may have given way as that rest ended.
    if (slowing_m3 > mostOfSlowing * doubt.volume_m3) return first === i + 1 || first === i + 2 ? i : first;
    const next = first === null ? undefined : doubts[first];
    const lasts_s = Math.max(lastsBeside_s(doubts, i), first === null ? 0 : lastsBeside_s(doubts, first));
    if (next !== undefined && next.from_s - doubt.to_s > mostApart * lasts_s) break;
    first = i;
  }
  return first;
}

/** How long a doubt lasts, or one that it touches: a run between two rests is short, and stands as far apart as they do. */
function lastsBeside_s(doubts: readonly Doubt[], i: number): number {
  const { from_s, to_s } = doubts[i] as Doubt;
  const [before, after] = [doubts[i - 1], doubts[i + 1]];
  const lasts = [to_s - from_s];
  if (before !== undefined && from_s - before.to_s < inTouch_s) lasts.push(before.to_s - before.from_s);
  if (after !== undefined && after.from_s - to_s < inTouch_s) lasts.push(after.to_s - after.from_s);
  return Math.max(...lasts);
}

/**
 * What of a doubt inflow that slows steadily over the rest makes: all that is more than in the middle of the last quarter,
 * by which the rest was held (see rest-inflow.ts).
 */
function ofSlowing_m3({ kind, from_s, to_s, volume_m3, beside_m3 = 0 }: Doubt, bend_m3s2: number): number {
  if (!(bend_m3s2 < 0)) return 0;
  return Math.min(kind === "leapt" ? beside_m3 : volume_m3, -bend_m3s2 * ((7 / 8) * (to_s - from_s)) ** 2);
}
