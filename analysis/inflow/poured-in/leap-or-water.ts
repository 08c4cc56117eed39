// Whether a level that rose all at once while the pump rested shows water that was poured in, or a sensor that leapt. The
// floats know, for they trip at the same water as ever: poured water leaves both trips where they were in the readings, and
// a leap moves both.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { RestFit } from "../rest/fit-rest.ts";
import { type Pour, poursIn, withPour } from "./poured-in.ts";

/** A leap that the first of the two trips takes for the sensor's. */
export interface LikelyLeap {
  readonly volume_m3: number;
  /** Of the rest, without it. */
  readonly inflow: FlowEstimate;
  /** Standard uncertainty of what a trip has moved by. */
  readonly uTrip_m3: number;
}

/** Share of the leap, and standard uncertainties beside it, by which a float may seem to have tripped elsewhere. */
const alike = 0.25;
const clearly = 3;

/**
 * What one trip says.
 *
 * @param moved_m3 by how much more was stored, by the readings, than the time before
 * @param uTrip_m3 its standard uncertainty
 * @returns null where it has moved neither by the leap nor not at all, or either would do
 */
export function leapOrWater(volume_m3: number, moved_m3: number, uTrip_m3: number): "leap" | "water" | null {
  const near_m3 = alike * volume_m3 + clearly * uTrip_m3;
  const asLeap = Math.abs(moved_m3 - volume_m3) < near_m3;
  const asWater = Math.abs(moved_m3) < near_m3;
  if (asLeap === asWater) return null;
  return asLeap ? "leap" : "water";
}

/** The fit of a rest in which the level fell at once: it ends elsewhere, and no less has come in. */
export function withFall(fit: RestFit, { volume_m3 }: Pour): RestFit {
  return { ...fit, endVolume_m3: fit.endVolume_m3 === null ? null : fit.endVolume_m3 + volume_m3 };
}

/** The fit of a rest with a leap of which nobody knows what it was: it counts, as what may be taken back. */
export function withDoubtfulPour(fit: RestFit, pour: Pour): RestFit {
  return { ...withPour(fit, pour), leapParts: (parts) => poursIn(fit, pour, parts) };
}
