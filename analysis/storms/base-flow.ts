// Base flow by a published recursive digital filter, on even steps without gaps: a second opinion beside the storms' own
// separation (find-storms.ts), which knows recessions and gaps.

/**
 * Eckhardt's two-parameter filter.
 *
 * @param keep    share of the base flow that is left after a step without rain: exp(−step/recession constant)
 * @param mostBfi highest share of base flow in a long record; 0.8 for perennial streams on porous ground (Eckhardt 2005)
 * @returns base flow, never above the flow; it begins as the flow does
 * @see K. Eckhardt (2005), "How to construct recursive digital filters for baseflow separation", Hydrol. Process. 19
 */
export function eckhardt(flow: readonly number[], keep: number, mostBfi: number): number[] {
  const base: number[] = [];
  for (const now of flow) {
    const before = base[base.length - 1];
    const filtered = ((1 - mostBfi) * keep * (before ?? 0) + (1 - keep) * mostBfi * now) / (1 - keep * mostBfi);
    base.push(before === undefined ? now : Math.min(now, filtered));
  }
  return base;
}
