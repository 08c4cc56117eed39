// Whether a motor runs, by the current or power on its line: the readings fall into two heaps, one of what draws while it
// stands (a lamp, a controller) and one of what it draws at work, and the line between them is learned. Inrush is in
// neither.

import { type LoadTurnState, newLoadTurn, noteTurn } from "./load-turn.ts";

export interface LoadSplitState {
  /** Readings by their size, in steps of equal ratio; what lies under the least a motor draws is in the first. */
  readonly heaps: number[];
  readings: number;
  /** Readings until the line is drawn anew. */
  untilLook: number;
  /** Middle of either heap; NaN before both are known. */
  standing: number;
  running: number;
  /** Highest load of late, inrush left out, falling off slowly: the measure until then. */
  highest: number;
  last: number;
  last_s: number;
  jumpedAt_s: number;
  turn?: LoadTurnState;
}

/** Of the quantity that is read, in its unit. */
export interface LoadKind {
  /** A controller or a lamp on the same line stays below. */
  readonly least: number;
  /** Nothing that stands draws more. */
  readonly mostStanding: number;
}

// Common practice, no source.
export const currentLoad: LoadKind = { least: 0.5, mostStanding: 2 };
export const powerLoad: LoadKind = { least: 50, mostStanding: 200 };

/** So many times as much the smallest pump motors draw; common practice, no source. */
const smallest = 2;

const ratio = 1.12;
const steps = 72;

export function newLoadSplit(): LoadSplitState {
  return {
    heaps: Array.from({ length: steps }, () => 0),
    readings: 0,
    untilLook: 1,
    standing: Number.NaN,
    running: Number.NaN,
    highest: 0,
    last: 0,
    last_s: Number.NaN,
    jumpedAt_s: Number.NaN,
  };
}

/** A motor draws its inrush, five to seven times as much, for less than this; common practice, no source. */
const inrush_s = 1;
const jump = 1.5;
/** Readings further apart than this catch an inrush too seldom to mind, and whole runs with one reading. */
const seldom_s = 2;
/** So much of the way from standing to running tells that it runs, and so little that it stands. */
const surelyRuns = 0.45;
const surelyStands = 0.25;
/** So many times the least a motor draws is more than what stands at about that, and goes to and fro over it with its noise. */
const surelyMotor = 1.5;
const fades = 0.99999;

/**
 * Takes a load.
 *
 * @param on what was said before; it stays between the two limits
 */
export function isLoaded(
  state: LoadSplitState,
  kind: LoadKind,
  time_s: number,
  load: number,
  on: boolean | null,
): boolean | null {
  const apart_s = time_s - state.last_s;
  if (load > kind.least && !(load <= jump * state.last)) state.jumpedAt_s = time_s;
  state.last = load;
  state.last_s = time_s;
  if (!(time_s - state.jumpedAt_s < inrush_s) || apart_s > seldom_s) learn(state, kind, load);
  const standing = Number.isNaN(state.standing) ? 0 : state.standing;
  const running = Number.isNaN(state.running) ? Math.max(state.highest, smallest * kind.least) : state.running;
  const now = sideOf(kind, standing, running, load) ?? on;
  state.turn ??= newLoadTurn();
  noteTurn(state.turn, time_s, (load - standing) / (running - standing), on, now);
  return now;
}

function sideOf({ least }: LoadKind, standing: number, running: number, load: number): boolean | null {
  if (load > Math.max(surelyMotor * least, standing + surelyRuns * (running - standing))) return true;
  if (load < Math.max(least, standing + surelyStands * (running - standing))) return false;
  return null;
}

/** A day or so at one reading a second: what was longer ago counts less. */
const mostReadings = 100_000;
const fewest = 3;
const looksEvery = 256;

function learn(state: LoadSplitState, kind: LoadKind, load: number): void {
  if (!Number.isFinite(load)) return;
  state.highest = Math.max(load, state.highest * fades);
  const step = Math.min(
    steps - 1,
    load < kind.least ? 0 : 1 + Math.floor(Math.log(load / kind.least) / Math.log(ratio)),
  );
  state.heaps[step] = (state.heaps[step] ?? 0) + 1;
  state.readings += 1;
  state.untilLook -= 1;
  if (state.untilLook > 0) return;
  state.untilLook = Math.min(looksEvery, Math.ceil(state.readings / 4));
  drawLine(state, kind);
  if (state.readings < mostReadings) return;
  state.readings /= 2;
  for (let i = 0; i < steps; i += 1) state.heaps[i] = (state.heaps[i] ?? 0) / 2;
}

/** A motor draws at least so many times what draws beside it. */
const leastRatio = 2.5;
/**
 * Between rest and work lies a hollow so many times as wide as it is low, in which hardly a reading lies: so few of the
 * lesser heap's. The load of a motor that works on and on, with more to do or less, has none.
 */
const hollow = 1.5;
const hardlyAny = 0.2;

/**
 * The line that leaves the least spread within the two heaps, on a scale of square roots: the few readings of an inrush
 * weigh little there, and little things that draw now and then do not make a heap of their own. Without a hollow between
 * the heaps they are one, and nothing is known; with too few readings in either, what was known stays.
 *
 * @see Otsu (1979), IEEE Trans. Syst. Man Cybern. 9(1), 62–66: the greatest variance between two classes
 */
function drawLine(state: LoadSplitState, { least, mostStanding }: LoadKind): void {
  const { heaps } = state;
  let all = 0;
  let allSum = 0;
  for (let i = 0; i < steps; i += 1) {
    all += heaps[i] ?? 0;
    allSum += rootOf(i, least) * (heaps[i] ?? 0);
  }
  let below = 0;
  let belowSum = 0;
  let best = 0;
  let looksLikeOne = false;
  for (let i = 0; i < steps - 1; i += 1) {
    below += heaps[i] ?? 0;
    belowSum += rootOf(i, least) * (heaps[i] ?? 0);
    if (below < fewest || all - below < fewest) continue;
    const low = belowSum / below;
    const high = (allSum - belowSum) / (all - below);
    const between = below * (all - below) * (high - low) ** 2;
    if (!(between > best) || low ** 2 > mostStanding || high ** 2 < Math.max(smallest * least, leastRatio * low ** 2))
      continue;
    if (!isHollow(heaps, i, hardlyAny * Math.min(below, all - below), least)) {
      looksLikeOne = true;
      continue;
    }
    best = between;
    state.standing = low ** 2;
    state.running = high ** 2;
  }
  if (best === 0 && looksLikeOne) state.standing = state.running = Number.NaN;
}

function isHollow(heaps: readonly number[], cut: number, few: number, least: number): boolean {
  let low = cut;
  for (let left = few - (heaps[low] ?? 0); left >= 0 && low > 0; left -= heaps[low] ?? 0) low -= 1;
  let high = cut + 1;
  for (let left = few - (heaps[high] ?? 0); left >= 0 && high < steps - 1; left -= heaps[high] ?? 0) high += 1;
  return rootOf(high, least) ** 2 > hollow * Math.max(least, rootOf(low, least) ** 2);
}

function rootOf(step: number, least: number): number {
  return step === 0 ? 0 : Math.sqrt(least * ratio ** (step - 0.5));
}
