// How standard uncertainties join into one, by the law of propagation of uncertainty. What they are of is the caller's
// to say; the factor that widens the result to 95 % is statistics/student-t.ts.

/** One term of a sum: sensitivity times standard uncertainty, in the unit of the result. */
export interface Term {
  readonly u: number;
  /** Infinity for a Type B figure that is taken as exactly known. */
  readonly degreesOfFreedom: number;
}

/**
 * Combined standard uncertainty: √(Σᵢ Σⱼ uᵢ·uⱼ·r(i, j)), uᵢ = (∂y/∂xᵢ)·u(xᵢ) with the sign of its sensitivity.
 *
 * @param terms       uᵢ, in the unit of the result
 * @param correlation r(i, j) between the inputs, −1…1, asked for i < j only; by default none
 * @see JCGM 100:2008, equations 13 and 16
 */
export function combinedUncertainty(terms: readonly number[], correlation?: (i: number, j: number) => number): number {
  let variance = 0;
  for (const [j, second] of terms.entries()) {
    variance += second * second;
    if (correlation === undefined) continue;
    for (const [i, first] of terms.slice(0, j).entries()) variance += 2 * first * second * correlation(i, j);
  }
  return Math.sqrt(Math.max(0, variance)); // terms that cancel may leave a rounding error below 0
}

/**
 * Effective degrees of freedom of a sum of independent terms: u⁴ / Σ uᵢ⁴/νᵢ (Welch and Satterthwaite).
 *
 * @returns Infinity where every term that is not 0 has infinitely many
 * @see JCGM 100:2008, G.4.1
 */
export function effectiveDegreesOfFreedom(terms: readonly Term[]): number {
  let largest = 0;
  let least = Number.POSITIVE_INFINITY;
  for (const { u, degreesOfFreedom } of terms) {
    largest = Math.max(largest, Math.abs(u));
    least = Math.min(least, degreesOfFreedom);
  }
  if (largest === 0 || least === Number.POSITIVE_INFINITY) return least;
  // Shares of the largest, since the fourth power of a flow in m³/s is beyond what doubles resolve.
  let squares = 0;
  let fourths = 0;
  for (const { u, degreesOfFreedom } of terms) {
    const square = (u / largest) ** 2;
    squares += square;
    fourths += square ** 2 / degreesOfFreedom;
  }
  return squares ** 2 / fourths;
}
