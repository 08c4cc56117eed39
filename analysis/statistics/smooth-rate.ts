// The rate at which a noisy quantity grows, at every moment: a fixed-interval smoother (Kalman's filter forwards, Rauch,
// Tung and Striebel's sweep back) on a quantity whose rate wanders; how fast it may wander is chosen stretch by stretch
// by what the samples make likely.

export interface RateSamples {
  readonly t: Float64Array;
  readonly y: Float64Array;
  /** Of each sample. */
  readonly variance: Float64Array;
  /** Variance of a jump of the quantity between the sample before and this one; 0 without. */
  readonly jump: Float64Array;
  readonly count: number;
}

export interface RatePrior {
  readonly rate: number;
  readonly variance: number;
}

export interface SmoothRate {
  /** At the times of the samples. */
  readonly rate: Float64Array;
  readonly variance: Float64Array;
  /** Of the quantity itself. */
  readonly valueVariance: Float64Array;
}

/** Samples farther off than so many standard deviations count as if they were no farther. */
const odd = 4;
/** A change of how fast the rate wanders costs so much likelihood (its logarithm). */
const switching = 6;
/** A change shows some samples after it began: a livelier choice holds for so many before. */
const shownLate = 3;

/**
 * Rate r(t) of y(t), y' = r, r a random walk with variance `s` per unit of time.
 *
 * @param samples     n ≥ 3, times rising
 * @param prior       of the rate at the first sample; null when nothing is known
 * @param wanderings  values of `s` to choose from, rising
 * @see Rauch, Tung & Striebel (1965), Maximum likelihood estimates of linear dynamic systems, AIAA J. 3, 1445–1450
 */
export function smoothRate(samples: RateSamples, prior: RatePrior | null, wanderings: readonly number[]): SmoothRate {
  const chosen = chooseWandering(samples, prior, wanderings);
  const states = new Float64Array(samples.count * perState);
  filter(samples, prior, (i) => wanderings[chosen[i] ?? 0] ?? 0, states, null);
  return sweepBack(samples, states);
}

/** Filtered value, rate and their covariance; and what was foretold of them from the sample before. */
const perState = 10;

function filter(
  { t, y, variance, jump, count }: RateSamples,
  prior: RatePrior | null,
  wandering: (i: number) => number,
  states: Float64Array | null,
  logLikelihood: Float64Array | null,
): void {
  let value = y[0] as number;
  let rate = prior?.rate ?? 0;
  let vv = (variance[0] as number) * 100;
  let vr = 0;
  const span = (t[count - 1] as number) - (t[0] as number);
  let rr = prior?.variance ?? (((y[count - 1] as number) - value) / span) ** 2 * 100 + (100 * vv) / span ** 2;
  for (let i = 0; i < count; i += 1) {
    const dt = i === 0 ? 0 : (t[i] as number) - (t[i - 1] as number);
    const s = wandering(i);
    value += rate * dt;
    vv += 2 * dt * vr + dt * dt * rr + (s * dt ** 3) / 3 + (jump[i] as number);
    vr += dt * rr + (s * dt * dt) / 2;
    rr += s * dt;
    if (states !== null) write(states, i * perState + 5, value, rate, vv, vr, rr);
    const total = Math.max(0, vv) + (variance[i] as number);
    const sd = Math.sqrt(total);
    const off = (y[i] as number) - value;
    const within = Math.max(-odd * sd, Math.min(odd * sd, off));
    if (logLikelihood !== null) logLikelihood[i] = -0.5 * (within ** 2 / total + Math.log(total));
    // An odd sample is taken as one of so much more noise.
    const weight = 1 / (off === within ? total : total * (off / within) ** 2);
    value += vv * weight * off;
    rate += vr * weight * off;
    rr -= vr * vr * weight;
    vr -= vr * vv * weight;
    vv -= vv * vv * weight;
    if (states !== null) write(states, i * perState, value, rate, vv, vr, rr);
  }
}

function write(states: Float64Array, at: number, a: number, b: number, c: number, d: number, e: number): void {
  states[at] = a;
  states[at + 1] = b;
  states[at + 2] = c;
  states[at + 3] = d;
  states[at + 4] = e;
}

function sweepBack({ t, count }: RateSamples, states: Float64Array): SmoothRate {
  const rate = new Float64Array(count);
  const variance = new Float64Array(count);
  const valueVariance = new Float64Array(count);
  const at = (i: number, k: number) => states[i * perState + k] as number;
  let value = at(count - 1, 0);
  let slope = at(count - 1, 1);
  let [vv, vr, rr] = [at(count - 1, 2), at(count - 1, 3), at(count - 1, 4)];
  rate[count - 1] = slope;
  variance[count - 1] = rr;
  valueVariance[count - 1] = vv;
  for (let i = count - 2; i >= 0; i -= 1) {
    const dt = (t[i + 1] as number) - (t[i] as number);
    const [fv, fr, fvv, fvr, frr] = [at(i, 0), at(i, 1), at(i, 2), at(i, 3), at(i, 4)];
    const [pv, pr, pvv, pvr, prr] = [at(i + 1, 5), at(i + 1, 6), at(i + 1, 7), at(i + 1, 8), at(i + 1, 9)];
    const det = pvv * prr - pvr * pvr;
    if (!(det > 0)) {
      rate[i] = fr;
      variance[i] = frr;
      valueVariance[i] = fvv;
      [value, slope, vv, vr, rr] = [fv, fr, fvv, fvr, frr];
      continue;
    }
    // Gain: filtered covariance · Fᵀ · foretold covariance⁻¹.
    const [av, ar, bv, br] = [fvv + dt * fvr, fvr, fvr + dt * frr, frr];
    const g11 = (av * prr - ar * pvr) / det;
    const g12 = (ar * pvv - av * pvr) / det;
    const g21 = (bv * prr - br * pvr) / det;
    const g22 = (br * pvv - bv * pvr) / det;
    const [dv, dr] = [value - pv, slope - pr];
    value = fv + g11 * dv + g12 * dr;
    slope = fr + g21 * dv + g22 * dr;
    const [dvv, dvr, drr] = [vv - pvv, vr - pvr, rr - prr];
    const c11 = g11 * dvv + g12 * dvr;
    const c12 = g11 * dvr + g12 * drr;
    const c21 = g21 * dvv + g22 * dvr;
    const c22 = g21 * dvr + g22 * drr;
    vv = fvv + c11 * g11 + c12 * g12;
    vr = fvr + c11 * g21 + c12 * g22;
    rr = frr + c21 * g21 + c22 * g22;
    rate[i] = slope;
    variance[i] = rr;
    valueVariance[i] = vv;
  }
  return { rate, variance, valueVariance };
}

/** For each sample, which wandering: the likeliest course of choices, in which a change costs. */
function chooseWandering(samples: RateSamples, prior: RatePrior | null, wanderings: readonly number[]): Uint8Array {
  const { count } = samples;
  const kinds = wanderings.length;
  const likelihood = wanderings.map((s) => {
    const log = new Float64Array(count);
    filter(samples, prior, () => s, null, log);
    return log;
  });
  const best = new Float64Array(kinds);
  const from = Array.from({ length: kinds }, () => new Uint8Array(count));
  for (let i = 0; i < count; i += 1) {
    let top = 0;
    for (let k = 1; k < kinds; k += 1) if ((best[k] as number) > (best[top] as number)) top = k;
    const reach = (best[top] as number) - switching;
    for (let k = 0; k < kinds; k += 1) {
      const stays = (best[k] as number) >= reach;
      const came = from[k] as Uint8Array;
      came[i] = stays ? k : top;
      best[k] = (stays ? (best[k] as number) : reach) + ((likelihood[k] as Float64Array)[i] as number);
    }
  }
  const chosen = new Uint8Array(count);
  let kind = 0;
  for (let k = 1; k < kinds; k += 1) if ((best[k] as number) > (best[kind] as number)) kind = k;
  for (let i = count - 1; i >= 0; i -= 1) {
    chosen[i] = kind;
    kind = (from[kind] as Uint8Array)[i] as number;
  }
  for (let i = 0; i < count; i += 1) {
    for (let j = i + 1; j <= i + shownLate && j < count; j += 1) {
      chosen[i] = Math.max(chosen[i] as number, chosen[j] as number);
    }
  }
  return chosen;
}
