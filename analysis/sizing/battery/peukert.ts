// How long a battery lasts at a current, after Peukert, and how large it must be. What the pump draws is backup.ts's job.

export interface BatteryRating {
  /** At the rated hours. */
  readonly capacity_ah: number;
  readonly ratedHours: number;
  readonly exponent: number;
}

/**
 * Time to full discharge at a constant current: t = H·(C/(I·H))^k. At a current below that of the rating a battery gives
 * a little more than its rated charge by this law; that is not counted on, so the time is C/I at the most.
 *
 * @returns hours; Infinity at no current
 * @see Peukert (1897), in the form with the capacity C at the H-hour rate
 */
export function dischargeTime_h({ capacity_ah, ratedHours, exponent }: BatteryRating, current_a: number): number {
  if (current_a === 0) return Number.POSITIVE_INFINITY;
  const byLaw_h = ratedHours * (capacity_ah / (current_a * ratedHours)) ** exponent;
  return Math.min(byLaw_h, capacity_ah / current_a);
}

/**
 * Capacity at the rated hours with which a current can be drawn for so long: `dischargeTime_h` the other way round.
 *
 * @param time_h until fully discharged
 */
export function capacityFor_ah(current_a: number, time_h: number, ratedHours: number, exponent: number): number {
  const byLaw_ah = current_a * ratedHours * (time_h / ratedHours) ** (1 / exponent);
  return Math.max(byLaw_ah, current_a * time_h);
}

/**
 * Peukert's exponent of a battery from two ratings of its data sheet: k = ln(H₁/H₂)/ln(I₂/I₁), I = C/H.
 *
 * @throws {RangeError} when the two are not of different hours with less charge at the shorter
 */
export function peukertExponent(
  long: { readonly capacity_ah: number; readonly hours: number },
  short: { readonly capacity_ah: number; readonly hours: number },
): number {
  const k =
    Math.log(long.hours / short.hours) / Math.log(short.capacity_ah / short.hours / (long.capacity_ah / long.hours));
  if (long.hours > short.hours && k >= 1) return k;
  throw new RangeError(
    `peukertExponent: ${long.capacity_ah} Ah in ${long.hours} h and ${short.capacity_ah} Ah in ${short.hours} h give ${k}; expected less charge in fewer hours`,
  );
}

/**
 * Share of a lead-acid battery's rated charge that is there in the cold; 1 from 25 °C up, where none is gained.
 *
 * @param temperature_c of the battery; below the table as at its coldest row
 * @see IEEE Std 485, table 1, cell size correction by temperature, from memory: its factors' reciprocals
 */
export function temperatureFactor(temperature_c: number): number {
  const [coldest, warmest] = [sizeFactors[0], sizeFactors.at(-1)];
  if (coldest === undefined || warmest === undefined || temperature_c >= warmest[0]) return 1;
  const above = sizeFactors.findIndex(([at_c]) => at_c > temperature_c);
  const [low, high] = [sizeFactors[above - 1] ?? coldest, sizeFactors[above] ?? coldest];
  if (low[0] === high[0]) return 1 / low[1];
  return 1 / (low[1] + ((high[1] - low[1]) * (temperature_c - low[0])) / (high[0] - low[0]));
}

/** °C, and how much larger the cell must be. */
const sizeFactors: readonly (readonly [number, number])[] = [
  [-3.9, 1.52],
  [-1.1, 1.43],
  [1.7, 1.35],
  [4.4, 1.3],
  [7.2, 1.25],
  [10, 1.19],
  [12.8, 1.15],
  [15.6, 1.11],
  [18.3, 1.08],
  [21.1, 1.04],
  [25, 1],
];
