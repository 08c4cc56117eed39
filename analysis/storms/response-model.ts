// How inflow answers rain: what the ground takes, a quick way through two stores in a row, a slow way beside it. The
// forward model only; what its figures are for one house is fit-response.ts's to find.

/** Figures of one house's answer. */
export interface Response {
  /** Where the rain of a long storm goes into the basin from, m²: inflow volume over depth once the ground is wet. */
  readonly catchment_m2: number;
  /** Depth that the ground takes before anything comes, and how far wetting goes on to raise what comes through. */
  readonly firstLoss_m: number;
  readonly wetting_m: number;
  /** The ground's memory of rain fades with this time constant. */
  readonly dries_s: number;
  /** Share that comes at once, however dry the ground. */
  readonly bareShare: number;
  /** Nothing arrives before. */
  readonly delay_s: number;
  /** Time constant of the first store of the quick way, and of the second at `reference_m3s`. */
  readonly first_s: number;
  readonly quick_s: number;
  /** The second store's outflow goes with this power of what it holds: 1 is a linear reservoir. */
  readonly power: number;
  /** Share of the slow way, and its time constant. */
  readonly slowShare: number;
  readonly slow_s: number;
  /** The drains pass no more than that; the rest waits. */
  readonly most_m3s: number;
}

export interface ResponseState {
  /** Rain that the ground remembers. */
  wet_m: number;
  first_m3: number;
  quick_m3: number;
  slow_m3: number;
  waiting_m3: number;
}

/** A store that holds so little of what it does at the reference flow may as well be linear. */
const nearlyEmpty = 1e-3;

export function dryGround(): ResponseState {
  return { wet_m: 0, first_m3: 0, quick_m3: 0, slow_m3: 0, waiting_m3: 0 };
}

/**
 * Inflow above base, mean of each step.
 *
 * Of rain on ground that holds w, the share 1 − (S/(S + w − L))² comes through where w is over the first loss L: the
 * derivative of the curve-number relation (P − L)²/(P − L + S), with S the wetting; a bare share comes at once. Each store gives off exactly what a
 * linear reservoir of its present time constant would in the step, so no step is too long and no water is lost.
 *
 * @param rain_ms        rate of rain of each step; NaN counts as dry
 * @param reference_m3s  flow at which the second store's time constant is `quick_s`
 * @param state          changed to that after the last step
 * @param flow           where the answer is written; a new array where none is given
 * @see NEH 630 ch. 10 for the curve-number relation; Nash (1957) for reservoirs in a row
 */
export function answerRain(
  response: Response,
  rain_ms: ArrayLike<number>,
  step_s: number,
  reference_m3s: number,
  state: ResponseState = dryGround(),
  flow: Float64Array = new Float64Array(rain_ms.length),
): Float64Array {
  const { catchment_m2, firstLoss_m, wetting_m, bareShare, slowShare, first_s, quick_s, slow_s, power } = response;
  const most_m3 = response.most_m3s * step_s;
  const [dries, first, slow] = [response.dries_s, first_s, slow_s].map((t) => Math.exp(-step_s / t)) as [
    number,
    number,
    number,
  ];
  const linear = Math.exp(-step_s / quick_s);
  const held_m3 = reference_m3s * quick_s;
  const whole = Math.floor(response.delay_s / step_s);
  const part = response.delay_s / step_s - whole;
  let { wet_m, first_m3, quick_m3, slow_m3, waiting_m3 } = state;
  const last = whole + 1;
  const late = new Float64Array(last + 1);
  let place = 0;
  for (let i = 0; i < flow.length; i += 1) {
    const rain_m = (rain_ms[i] as number) * step_s || 0;
    let through_m3 = 0;
    wet_m *= dries;
    if (rain_m > 0) {
      const over_m = Math.max(0, wet_m + rain_m - firstLoss_m);
      const overBefore_m = Math.max(0, wet_m - firstLoss_m);
      const through_m = comesThrough(over_m, wetting_m) - comesThrough(overBefore_m, wetting_m);
      through_m3 = catchment_m2 * (bareShare * rain_m + (1 - bareShare) * through_m);
      wet_m += rain_m;
    }
    late[place] = through_m3;
    place = place === 0 ? last : place - 1;
    // The oldest one stands next, the one before it after that: what is written over next came whole + 1 steps ago.
    const arrived_m3 = part * (late[place] as number) + (1 - part) * (late[place === 0 ? last : place - 1] as number);
    slow_m3 += arrived_m3 * slowShare;
    const seeps_m3 = slow_m3 * (1 - slow);
    slow_m3 -= seeps_m3;
    first_m3 += arrived_m3 * (1 - slowShare);
    const passes_m3 = first_m3 * (1 - first);
    first_m3 -= passes_m3;
    quick_m3 += passes_m3;
    const filled = quick_m3 / held_m3;
    const keeps = power === 1 || filled < nearlyEmpty ? linear : keepsOf(filled, power, step_s / quick_s);
    const out_m3 = quick_m3 * (1 - keeps);
    quick_m3 -= out_m3;
    waiting_m3 += out_m3 + seeps_m3;
    const passed_m3 = Math.min(waiting_m3, most_m3);
    waiting_m3 -= passed_m3;
    flow[i] = passed_m3 / step_s;
  }
  Object.assign(state, { wet_m, first_m3, quick_m3, slow_m3, waiting_m3 });
  return flow;
}

/** Rain so long ago, and how much. */
export interface EarlierRain {
  readonly ago_s: Float64Array;
  readonly rain_m: Float64Array;
}

/** What the ground remembers of rain before. */
export function rememberedRain_m({ ago_s, rain_m }: EarlierRain, dries_s: number): number {
  let wet_m = 0;
  for (let i = 0; i < rain_m.length; i += 1) wet_m += (rain_m[i] as number) * Math.exp(-(ago_s[i] as number) / dries_s);
  return wet_m;
}

/** Depth that has come through in all, once so much has fallen over the first loss. */
function comesThrough(over_m: number, wetting_m: number): number {
  return (over_m * over_m) / (over_m + wetting_m);
}

/** Share that a store of outflow ∝ (what it holds)^power keeps over a step without inflow, exactly. */
function keepsOf(filled: number, power: number, steps: number): number {
  // dS/dt = −(S/τ)·filled^(p−1): Bernoulli's equation, S₁/S₀ = (1 + (p−1)·x)^(−1/(p−1)) with x = Δt/τ·filled^(p−1).
  const x = steps * Math.exp((power - 1) * Math.log(filled));
  const bend = (power - 1) * x;
  if (Math.abs(bend) < 0.01) return Math.exp(-x * (1 - bend / 2 + (bend * bend) / 3));
  return bend <= -1 ? 0 : Math.exp(-Math.log1p(bend) / (power - 1));
}
