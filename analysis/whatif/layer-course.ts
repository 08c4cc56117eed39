// The course of a level that rises at a rate which slackens in proportion to the rise: dh/dt = r − k·(h − h₀). Its
// solution in the forms that a replay needs, none of which loses digits as k goes to 0.

/**
 * How long the level takes to change by `rise_m`.
 *
 * @param rate_ms    at the beginning; of the same sign as `rise_m`
 * @param damping_1s k
 * @returns Infinity when it comes to rest before
 */
export function timeToRise_s(rate_ms: number, damping_1s: number, rise_m: number): number {
  const x = (damping_1s * rise_m) / rate_ms;
  if (x >= 1) return Number.POSITIVE_INFINITY;
  return Math.abs(x) < 1e-9 ? (rise_m / rate_ms) * (1 + x / 2) : -Math.log1p(-x) / damping_1s;
}

/** By how much the level changes in a time. */
export function riseIn_m(rate_ms: number, damping_1s: number, time_s: number): number {
  const x = damping_1s * time_s;
  return Math.abs(x) < 1e-9 ? rate_ms * time_s * (1 - x / 2) : (rate_ms * -Math.expm1(-x)) / damping_1s;
}

/** Mean over a time of how far the level has risen from where it was. */
export function meanRise_m(rate_ms: number, damping_1s: number, time_s: number): number {
  const x = damping_1s * time_s;
  if (Math.abs(x) < 1e-4) return (rate_ms * time_s * (1 - x / 3 + (x * x) / 12)) / 2;
  return (rate_ms / damping_1s) * (1 + Math.expm1(-x) / x);
}
