// Levels of a rest that the sensor has only said again, though it hardly ever repeats one: it held its last reading, and
// leaps to where the water has come to meanwhile. What it says again is no reading, and the leap is none.

import { frozenRepeats, hardlyByChance } from "../../readings/repeated-levels.ts";

export interface Readings {
  readonly t: Float64Array;
  readonly y: Float64Array;
  readonly weight: Float64Array;
  count: number;
}

/**
 * Leaves out all but the first of a row of samples that the sensor held.
 *
 * @param samples    single readings, in order of time; closed up where some were held
 * @param before_m3  what was read just before them; null: nothing, or it is not known
 * @param equalShare of all levels, those that are as the one before
 * @returns whether there were any
 */
export function leaveOutHeld(samples: Readings, before_m3: number | null, equalShare: number): boolean {
  const { t, y, weight, count } = samples;
  let kept = 0;
  for (let first = 0; first < count; ) {
    let next = first + 1;
    while (next < count && y[next] === y[first]) next += 1;
    const news = first === 0 && y[0] === before_m3 ? 0 : 1;
    const repeats = next - first - news;
    const held = repeats < frozenRepeats && hardlyByChance(repeats, equalShare);
    // Where the next is lower a run went by meanwhile.
    const rises = next === count || (y[next] as number) > (y[first] as number) || news === 0;
    const end = held && rises ? first + news : next;
    for (let i = first; i < end; i += 1) {
      t[kept] = t[i] as number;
      y[kept] = y[i] as number;
      weight[kept] = weight[i] as number;
      kept += 1;
    }
    first = next;
  }
  samples.count = kept;
  return kept < count;
}

/**
 * Leaves out the first levels of a rest that only say again what was read last in the run, where the next ones lie clearly
 * lower: the sensor held it over the stop, for water does not fall while the pump rests.
 *
 * @param before_m3 what was read last in the run; null: nothing, or it is not known
 * @param clear_m3  falls by less may be ripples, or a sensor's lag
 * @returns whether there were any
 */
export function leaveOutHeldOverStop(samples: Readings, before_m3: number | null, clear_m3: number): boolean {
  const { t, y, weight, count } = samples;
  let held = 0;
  while (held < count && y[held] === before_m3) held += 1;
  if (held === 0 || before_m3 === null || held + 1 >= count) return false;
  const next_m3 = Math.max(y[held] as number, y[held + 1] as number);
  if (!(before_m3 - next_m3 > clear_m3)) return false;
  for (const column of [t, y, weight]) column.copyWithin(0, held, count);
  samples.count -= held;
  return true;
}
