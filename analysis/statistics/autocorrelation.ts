// How much less a series of residuals tells than as many independent ones: ripples and rounding make neighbours alike.

const longestLag = 60;
const fewestForDecay = 4;

/**
 * Factor by which the variance of a mean or slope grows over that of independent samples: 1 + 2 Σ ρ_k, summed while ρ_k
 * stands out of its own noise (2/√n), and from there on as the geometric decay that the lags before show. At least 1.
 *
 * @param residuals shape (n), in order of time
 * @see JCGM 100:2008 C.2.22 for independence; Bayley and Hammersley (1946) for the effective number of observations
 */
export function varianceInflation(residuals: Float64Array, count = residuals.length): number {
  let squares = 0;
  for (let i = 0; i < count; i += 1) squares += (residuals[i] ?? 0) ** 2;
  if (!(squares > 0) || count < 8) return 1;
  const noise = 2 / Math.sqrt(count);
  let sum = 0;
  let first = 0;
  let last = 0;
  let lags = 0;
  for (let lag = 1; lag <= Math.min(longestLag, count >> 2); lag += 1) {
    let products = 0;
    for (let i = lag; i < count; i += 1) products += (residuals[i] ?? 0) * (residuals[i - lag] ?? 0);
    const correlation = products / squares;
    if (correlation < noise) break;
    sum += correlation * (1 - lag / count);
    if (lag === 1) first = correlation;
    last = correlation;
    lags = lag;
  }
  return 1 + 2 * (sum + restOfDecay(first, last, lags));
}

/** What a likeness that dies away steadily still holds beyond the lag at which it sinks into its own noise. */
function restOfDecay(first: number, last: number, lags: number): number {
  if (lags < fewestForDecay || last >= first) return 0;
  const perLag = (last / first) ** (1 / (lags - 1));
  return (last * perLag) / (1 - perLag);
}
