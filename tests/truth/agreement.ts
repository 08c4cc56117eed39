// How flows that were said agree with those that were: plain sums, so that seeds can be pooled.

export interface Agreement {
  /** Pairs of which the truth is known, and those of which the analysis says nothing. */
  known: number;
  unsaid: number;
  covered: number;
  /** Of (found − true) / true, and of its square, and of u95 / true. */
  sum: number;
  squares: number;
  halfWidths: number;
}

export function noneYet(): Agreement {
  return { known: 0, unsaid: 0, covered: 0, sum: 0, squares: 0, halfWidths: 0 };
}

export function agreement(
  sums: Agreement,
  is_m3s: number | null,
  said: { readonly lpm: number; readonly u95_lpm: number } | null,
): void {
  if (is_m3s === null || !(is_m3s > 0)) return;
  sums.known += 1;
  if (said === null) {
    sums.unsaid += 1;
    return;
  }
  const is_lpm = is_m3s * 60_000;
  const error = said.lpm / is_lpm - 1;
  // six significant digits are all that a report gives
  if (Math.abs(said.lpm - is_lpm) <= said.u95_lpm + 1e-5 * is_lpm) sums.covered += 1;
  sums.sum += error;
  sums.squares += error * error;
  sums.halfWidths += said.u95_lpm / is_lpm;
}

export function pooled(all: readonly Agreement[]): Agreement {
  const sums = noneYet();
  for (const one of all) {
    sums.known += one.known;
    sums.unsaid += one.unsaid;
    sums.covered += one.covered;
    sums.sum += one.sum;
    sums.squares += one.squares;
    sums.halfWidths += one.halfWidths;
  }
  return sums;
}

/** Wilson's interval of a share, two standard deviations wide to either side. */
export function shareInterval(hits: number, count: number): { readonly low: number; readonly high: number } {
  if (count === 0) return { low: 0, high: 1 };
  const z = 2;
  const p = hits / count;
  const middle = (p + (z * z) / (2 * count)) / (1 + (z * z) / count);
  const half = (z / (1 + (z * z) / count)) * Math.sqrt((p * (1 - p)) / count + (z * z) / (4 * count * count));
  return { low: middle - half, high: middle + half };
}
