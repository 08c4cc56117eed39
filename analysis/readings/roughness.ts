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

/** Of white noise, the median of |second difference| is so many times the standard deviation. */
const perDeviation = 0.6745 * Math.sqrt(6);

/** Standard deviation of one level. */
export function noiseOf_m(roughness_m: number): number {
  return roughness_m / perDeviation;
}

export function roughnessOf_m(noise_m: number): number {
  return noise_m * perDeviation;
}
