// How much a level jumps about from sample to sample, learned as samples come, and from that its noise. Slow movement
// of the water does not count.

/** A level that stands for hours must not teach that there is no noise: the way back up would take as long. */
const least_m = 1e-6;
const step = 1.02;
/** The first three levels may hold a spike: they teach no more than this, and a sensor that is rougher soon shows it. */
const mostAtFirst_m = 0.03;

/** One step of the running median of |second difference| of three levels in a row; 0 before the first. */
export function learnRoughness(roughness_m: number, a_m: number, b_m: number, c_m: number): number {
  const second_m = Math.abs(a_m - 2 * b_m + c_m);
  if (roughness_m === 0) return Math.min(second_m, mostAtFirst_m);
  return Math.max(least_m, second_m > roughness_m ? roughness_m * step : roughness_m / step);
}

/** Of white noise, the median of the smaller of two in a row is the median of one over so much; by simulation. */
const smallerOfTwo = 1.672;

/**
 * Of four levels in a row, the newest last: where readings are so far apart that the level turns every few of them, each turn
 * shows in two second differences.
 *
 * @param recent_m at least four, of which the last four are looked at
 */
export function learnRoughnessBesideTurns(roughness_m: number, recent_m: Float64Array): number {
  const end = recent_m.length;
  const earlier_m = secondDifference_m(recent_m, end - 4);
  const second_m = Math.min(Math.abs(earlier_m), Math.abs(secondDifference_m(recent_m, end - 3)));
  return learnRoughness(roughness_m, 0, 0, smallerOfTwo * second_m);
}

function secondDifference_m(levels_m: Float64Array, from: number): number {
  return (levels_m[from] as number) - 2 * (levels_m[from + 1] as number) + (levels_m[from + 2] as number);
}

/** Of white noise, the median of |second difference| is so many times the standard deviation. */
const perDeviation = 0.6745 * Math.sqrt(6);

/** Standard deviation of one level. */
export function noiseOf_m(roughness_m: number): number {
  return roughness_m / perDeviation;
}

export function roughnessOf_m(noise_m: number): number {
  return noise_m * perDeviation;
}
