// Loads by their size, and the line between two heaps of them: what draws beside a motor, and the motor.

import { type LoadKind, smallest } from "./load-kind.ts";

/** Each step is so many times the one below it; what lies under the least a motor draws is in the first. */
const ratio = 1.12;
const steps = 72;

export function newHeaps(): number[] {
  return Array.from({ length: steps }, () => 0);
}

/** @param least what a motor draws, of the quantity that is read */
export function put(heaps: number[], load: number, least: number): void {
  const step = Math.min(steps - 1, load < least ? 0 : 1 + Math.floor(Math.log(load / least) / Math.log(ratio)));
  heaps[step] = (heaps[step] ?? 0) + 1;
}

export function halve(heaps: number[]): void {
  for (let i = 0; i < steps; i += 1) heaps[i] = (heaps[i] ?? 0) / 2;
}

const fewest = 3;

/** A motor draws at least so many times what draws beside it. */
export const leastRatio = 2.5;
/**
 * Between rest and work lies a hollow so many times as wide as it is low, in which hardly a reading lies: so few of the
 * lesser heap's. The load of a motor that works on and on, with more to do or less, has none.
 */
const hollow = 1.5;
const hardlyAny = 0.2;

export interface Line {
  readonly standing: number;
  readonly running: number;
}

/**
 * The line that leaves the least spread within the two heaps, on a scale of square roots: the few readings of an inrush
 * weigh little there, and little things that draw now and then do not make a heap of their own.
 *
 * @param leastShare so much of all is in the higher heap
 * @returns the middle of either heap; NaN where there is no hollow between them, for they are one; null where none is found
 * @see Otsu (1979), IEEE Trans. Syst. Man Cybern. 9(1), 62–66: the greatest variance between two classes
 */
export function findLine(heaps: readonly number[], { least, mostStanding }: LoadKind, leastShare = 0): Line | null {
  let all = 0;
  let allSum = 0;
  for (let i = 0; i < heaps.length; i += 1) {
    all += heaps[i] ?? 0;
    allSum += rootOf(i, least) * (heaps[i] ?? 0);
  }
  let below = 0;
  let belowSum = 0;
  let best = 0;
  let found: Line | null = null;
  let looksLikeOne = false;
  for (let i = 0; i < heaps.length - 1; i += 1) {
    below += heaps[i] ?? 0;
    belowSum += rootOf(i, least) * (heaps[i] ?? 0);
    if (below < fewest || all - below < Math.max(fewest, leastShare * all)) continue;
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
    found = { standing: low ** 2, running: high ** 2 };
  }
  return found ?? (looksLikeOne ? { standing: Number.NaN, running: Number.NaN } : null);
}

function isHollow(heaps: readonly number[], cut: number, few: number, least: number): boolean {
  let low = cut;
  for (let left = few - (heaps[low] ?? 0); left >= 0 && low > 0; left -= heaps[low] ?? 0) low -= 1;
  let high = cut + 1;
  for (let left = few - (heaps[high] ?? 0); left >= 0 && high < steps - 1; left -= heaps[high] ?? 0) high += 1;
  return rootOf(high, least) ** 2 > hollow * Math.max(least, rootOf(low, least) ** 2);
}

/** The highest load that so many lie at; 0 where none does. */
export function highestLoad(heaps: readonly number[], { least }: LoadKind, atLeast: number): number {
  const step = heaps.findLastIndex((count) => count >= atLeast);
  return step > 0 ? rootOf(step, least) ** 2 : 0;
}

/** Of a load of 1 that lies in the middle of each step. */
const roots = Array.from({ length: steps }, (_, step) => (step === 0 ? 0 : Math.sqrt(ratio ** (step - 0.5))));

function rootOf(step: number, least: number): number {
  return Math.sqrt(least) * (roots[step] ?? 0);
}
