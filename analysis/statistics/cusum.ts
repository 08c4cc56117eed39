// The tabular cumulative sum: tells a lasting shift of the mean from scatter, which way it went, since when and how far.
// What is fed is standardised by the caller; what a shift means is the caller's too.

export interface CusumState {
  /** Values fed so far; the index of the next one. */
  count: number;
  /** Sum of what went beyond the allowance, upwards and downwards, never below 0. */
  up: number;
  down: number;
  /** Values since that sum was last 0. */
  upFor: number;
  downFor: number;
}

export interface CusumLimits {
  /** The allowance: half the shift that is to be found, in standard deviations of one value. */
  readonly k: number;
  /** The decision interval: a sum beyond it signals. */
  readonly h: number;
}

export interface CusumSignal {
  readonly side: "up" | "down";
  /** Index of the first value after the shift, as estimated: the first since the sum was last 0. */
  readonly onset: number;
  /** Size of the shift as estimated, in standard deviations; negative downwards. */
  readonly size: number;
}

export function newCusum(): CusumState {
  return { count: 0, up: 0, down: 0, upFor: 0, downFor: 0 };
}

/**
 * Takes the next value into both sums, S⁺ = max(0, S⁺ + z − k) and S⁻ = max(0, S⁻ − z − k), and says whether one of them
 * is beyond h. The sums go on after a signal: whoever has dealt with the shift begins anew with `newCusum`.
 *
 * @param z standardised value: 0 on target, ±1 a standard deviation off
 * @returns null while both sums are within h; the greater where both are beyond
 * @throws {RangeError} when z is not a finite number
 * @see Page (1954), Biometrika 41, 100–115; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3; onset and size as in
 * Montgomery, Introduction to Statistical Quality Control, ch. 9 (k + S/N)
 */
export function feedCusum(state: CusumState, z: number, { k, h }: CusumLimits): CusumSignal | null {
  if (!Number.isFinite(z)) throw new RangeError(`feedCusum: z is ${z}; a finite number is needed`);
  state.count += 1;
  state.up = Math.max(0, state.up + z - k);
  state.upFor = state.up > 0 ? state.upFor + 1 : 0;
  state.down = Math.max(0, state.down - z - k);
  state.downFor = state.down > 0 ? state.downFor + 1 : 0;
  if (!(state.up > h || state.down > h)) return null;
  return state.up >= state.down
    ? { side: "up", onset: state.count - state.upFor, size: k + state.up / state.upFor }
    : { side: "down", onset: state.count - state.downFor, size: -(k + state.down / state.downFor) };
}
