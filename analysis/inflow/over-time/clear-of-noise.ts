// What of a high mean stands clear of noise: of thousands of minutes the highest is one of which little is known, and far too
// high, where hours of steady inflow are well known.

/** Standard uncertainties: what stands out by fewer is taken for noise, by more for its own, and between for some of each. */
const noise = 1;
const its = 3;

/**
 * Firm shrinkage of the highest mean over a window towards that over a longer one: some part of the longer is as high as its
 * mean, so no noise of the shorter one is in that. What the shorter stands over it by within its own uncertainty is what the
 * highest of many stands out by for noise alone. A storm is borne by its longer windows, and water that pours in stands out
 * by far more.
 *
 * @param uNoise_m3s by noise alone: an error that all windows share, or one that is all or nothing, makes none the highest
 * @see Gao and Bruce (1997), WaveShrink with firm shrinkage, Statistica Sinica 7, 855–874
 */
export function clearOfNoise(inflow_m3s: number, uNoise_m3s: number, longer_m3s: number): number {
  const over_m3s = inflow_m3s - longer_m3s;
  if (!(over_m3s > 0) || over_m3s >= its * uNoise_m3s) return inflow_m3s;
  const clear_m3s = Math.max(0, over_m3s - noise * uNoise_m3s);
  return longer_m3s + (its / (its - noise)) * clear_m3s;
}
