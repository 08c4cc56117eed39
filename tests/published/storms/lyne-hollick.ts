// Base flow by another published filter than the one that the project uses, on even steps without gaps: by it a published
// river's record is told to be read and parted as its source did.

/**
 * Lyne and Hollick's filter in three passes, forward, backward, forward, each over the base flow of the one before, the
 * record mirrored by 30 values at either end.
 *
 * @param flow  even steps, any unit, no gaps
 * @param alpha filter parameter, 0…1; 0.925 is usual for daily values
 * @returns base flow, never above the flow
 * @see A. Ladson et al. (2013), "A standard approach to baseflow separation using the Lyne and Hollick filter",
 *      Australian Journal of Water Resources 17(1)
 */
export function lyneHollick(flow: readonly number[], alpha: number): number[] {
  const mirrored = mirror(flow, Math.min(30, flow.length - 1));
  let base = lowPass(mirrored.values, alpha);
  base = lowPass(base.reverse(), alpha);
  base = lowPass(base.reverse(), alpha);
  return base.slice(mirrored.pad, mirrored.pad + flow.length);
}

/** One pass: quick flow is the high-passed flow; where that is negative, all is base. */
function lowPass(flow: readonly number[], alpha: number): number[] {
  let quick = flow[0] ?? 0;
  return flow.map((now, i) => {
    if (i > 0) quick = alpha * quick + ((1 + alpha) / 2) * (now - (flow[i - 1] as number));
    return quick > 0 ? now - quick : now;
  });
}

/** The end values themselves are not repeated. */
function mirror(flow: readonly number[], pad: number): { values: number[]; pad: number } {
  const before = flow.slice(1, pad + 1).reverse();
  const after = flow.slice(flow.length - 1 - pad, flow.length - 1).reverse();
  return { values: [...before, ...flow, ...after], pad };
}
