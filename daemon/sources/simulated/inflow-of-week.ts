// Turns a week of rain into the inflow of one basin, scaled to what its pump can bear.

import { seededRandom } from "./random.ts";
import type { GroundState } from "./runoff.ts";
import { runoffOf } from "./runoff.ts";
import type { HouseScenario } from "./scenarios.ts";
import { rainOfWeek_mm, weekMinutes } from "./weather.ts";

/** What the inflow is measured against. */
export interface Bearing {
  /** What the pump moves between its start level and the rim. */
  readonly pumpFlow_m3s: number;
  /** Volume between stop and start level. */
  readonly activeVolume_m3: number;
  /** Room above the start level, up to high water and up to the rim. */
  readonly toHighWater_m3: number;
  readonly toOverflow_m3: number;
}

export interface Week {
  readonly rain_mm: Float64Array;
  /** At the beginning of each minute, and at the end of the last: shape (10,081). */
  readonly inflow_m3s: Float64Array;
  readonly groundAtEnd: GroundState;
}

/** A rest lasts about so long when the ground is dry. */
const dryRest_s = 6.5 * 60;
/** Runoff, in mm/h, at which an ordinary week would bring as much as the pump moves. */
const pumpEquivalent_mmh = 13;

export function inflowOfWeek(scenario: HouseScenario, seed: number, bearing: Bearing, ground: GroundState): Week {
  const random = seededRandom(seed, 10);
  const rain_mm = rainOfWeek_mm(scenario.showers, random);
  const { runoff_mmh, end } = runoffOf(rain_mm, ground);
  const base_m3s =
    (0.9 + 0.2 * random.uniform()) * Math.min(bearing.activeVolume_m3 / dryRest_s, 0.15 * bearing.pumpFlow_m3s);
  const comfort = 0.15 + 0.25 * random.uniform();
  const flowAt = (minute: number, scale: number) =>
    base_m3s * (1 + 0.08 * Math.sin((2 * Math.PI * minute) / 1440)) +
    scale * (runoff_mmh[Math.max(0, minute - 1)] ?? 0);
  const ordinary = bearing.pumpFlow_m3s / pumpEquivalent_mmh;
  const scale = scenario.uncomfortable ? scaleToBear(flowAt, bearing, comfort) : ordinary;
  const inflow_m3s = Float64Array.from({ length: weekMinutes + 1 }, (_, minute) => flowAt(minute, scale));
  return { rain_mm, inflow_m3s, groundAtEnd: end };
}

/**
 * The scale at which the water that the pump leaves behind in the worst hour comes up to between high water and the rim
 * (`share` of the way): found by halving, since more rain never leaves less behind.
 */
function scaleToBear(flowAt: (minute: number, scale: number) => number, bearing: Bearing, share: number): number {
  const target_m3 = bearing.toHighWater_m3 + share * (bearing.toOverflow_m3 - bearing.toHighWater_m3);
  let low = 0;
  let high = (10 * bearing.pumpFlow_m3s) / pumpEquivalent_mmh;
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (mostLeftBehind_m3((minute) => flowAt(minute, middle), bearing.pumpFlow_m3s) > target_m3) high = middle;
    else low = middle;
  }
  return low;
}

/** Largest store that a steady outflow leaves of a varying inflow (the sequent peak). */
function mostLeftBehind_m3(inflow_m3s: (minute: number) => number, pumpFlow_m3s: number): number {
  let left_m3 = 0;
  let most_m3 = 0;
  for (let minute = 0; minute < weekMinutes; minute++) {
    left_m3 = Math.max(0, left_m3 + 60 * (inflow_m3s(minute) - pumpFlow_m3s));
    most_m3 = Math.max(most_m3, left_m3);
  }
  return most_m3;
}
