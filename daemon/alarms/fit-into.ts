// Fits a message into one text message: shortens what may be shortened, the least important first, until it is short enough.

import { gsmLength, septetsOfOne, unitsOfOne } from "./gsm-alphabet.ts";

/** A part of a message: its variants, longest first (an empty one leaves it out), and when it is cut: lowest first. */
export interface Part {
  readonly variants: readonly string[];
  readonly cut?: number;
}

/**
 * @param parts in the order of the sentence
 * @returns the parts with a space between; too long where even the shortest are
 */
export function fitInto(parts: readonly Part[]): string {
  const chosen = parts.map(() => 0);
  const byRank = parts.map((_, i) => i).toSorted((a, b) => (parts[a]?.cut ?? 0) - (parts[b]?.cut ?? 0));
  for (;;) {
    const text = parts
      .map(({ variants }, i) => variants[chosen[i] ?? 0] ?? "")
      .filter((part) => part !== "")
      .join(" ");
    const next = byRank.find((i) => (chosen[i] ?? 0) < (parts[i]?.variants.length ?? 0) - 1);
    if (next === undefined || fitsOne(text)) return text;
    chosen[next] = (chosen[next] ?? 0) + 1;
  }
}

/** Whether it goes as a single text message. */
export function fitsOne(text: string): boolean {
  const septets = gsmLength(text);
  return septets === null ? text.length <= unitsOfOne : septets <= septetsOfOne;
}
