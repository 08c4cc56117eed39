// What the ground lets through after rain: two linear reservoirs behind a delay, a quick one (the backfilled trench
// around the house) and a slow one (the soil).

const delay_min = 20;
const quick = { constant_min: 35, share: 0.75 };
const slow = { constant_min: 15 * 60, share: 0.25 };

/** What the two reservoirs let go at one moment, in mm/h; the next week begins with it. */
export interface GroundState {
  readonly quick_mmh: number;
  readonly slow_mmh: number;
}

export const dryGround: GroundState = { quick_mmh: 0, slow_mmh: 0 };

/**
 * Routes rain through the ground: outflow of a linear reservoir, q' = (rain − q) / T, solved exactly minute by minute.
 *
 * @param rain_mm shape (n), millimetres in each minute
 * @returns outflow at the end of each minute in mm/h of rain, shape (n), and the state at the end
 * @see Nash (1957) for linear reservoirs as a model of runoff
 */
export function runoffOf(rain_mm: Float64Array, start: GroundState): { runoff_mmh: Float64Array; end: GroundState } {
  const keepQuick = Math.exp(-1 / quick.constant_min);
  const keepSlow = Math.exp(-1 / slow.constant_min);
  let { quick_mmh, slow_mmh } = start;
  const runoff_mmh = rain_mm.map((_, minute) => {
    const rain_mmh = 60 * (rain_mm[minute - delay_min] ?? 0);
    quick_mmh = keepQuick * quick_mmh + (1 - keepQuick) * rain_mmh;
    slow_mmh = keepSlow * slow_mmh + (1 - keepSlow) * rain_mmh;
    return quick.share * quick_mmh + slow.share * slow_mmh;
  });
  return { runoff_mmh, end: { quick_mmh, slow_mmh } };
}
