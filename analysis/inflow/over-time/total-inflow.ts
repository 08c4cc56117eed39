// All that is known to have come in, gaps left out, and how well that sum is known.

export interface TotalInflow {
  totalVolume_m3: number;
  totalTime_s: number;
  /** Variance of that sum but for the newest estimate; which one that is, its standard uncertainty and that of the one before. */
  totalVariance_m6: number;
  newestEstimate: number;
  uNewest_m3: number;
  uBefore_m3: number;
  /** What of that sum may be off alike in all estimates; absent: nothing. */
  uAlike_m3?: number;
}

const noEstimate = -1;

export function newTotal(): TotalInflow {
  return {
    totalVolume_m3: 0,
    totalTime_s: 0,
    totalVariance_m6: 0,
    newestEstimate: noEstimate,
    uNewest_m3: 0,
    uBefore_m3: 0,
  };
}

/** @param estimate number of the estimate that it belongs to: errors within one are taken as equal */
export function addToTotal(
  state: TotalInflow,
  length_s: number,
  inflow_m3s: number,
  uInflow_m3s: number,
  estimate: number,
): void {
  state.totalVolume_m3 += inflow_m3s * length_s;
  state.totalTime_s += length_s;
  if (estimate !== state.newestEstimate) {
    state.totalVariance_m6 += newestVariance_m6(state);
    state.newestEstimate = estimate;
    state.uBefore_m3 = state.uNewest_m3;
    state.uNewest_m3 = 0;
  }
  state.uNewest_m3 += uInflow_m3s * length_s;
}

/** Adds what came in over `length_s` of which nothing else is known, in m³, with its standard uncertainty: an estimate without neighbours. */
export function addApart(state: TotalInflow, length_s: number, volume_m3: number, u_m3: number): void {
  state.totalVolume_m3 += volume_m3;
  state.totalTime_s += length_s;
  state.totalVariance_m6 += u_m3 ** 2;
}

/** What comes after a time of which nothing is known has no neighbour before it. */
export function endNeighbours(state: TotalInflow): void {
  state.totalVariance_m6 += newestVariance_m6(state);
  state.uNewest_m3 = 0;
  state.newestEstimate = noEstimate;
}

/** Of what was added last, so much may be off alike in all estimates: it does not average away. */
export function noteAlike(state: TotalInflow, u_m3: number): void {
  state.uAlike_m3 = (state.uAlike_m3 ?? 0) + u_m3;
}

/** Standard uncertainty of the volume of everything known. */
export function uTotal_m3(state: TotalInflow): number {
  return Math.sqrt(state.totalVariance_m6 + newestVariance_m6(state) + (state.uAlike_m3 ?? 0) ** 2);
}

/** What came in during a run is the mean of the rests on either side: of two neighbours, the correlation is 1/√2. */
function newestVariance_m6({ uNewest_m3, uBefore_m3 }: TotalInflow): number {
  return uNewest_m3 ** 2 + Math.SQRT2 * uNewest_m3 * uBefore_m3;
}
