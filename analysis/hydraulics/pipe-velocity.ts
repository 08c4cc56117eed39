// Whether water goes through a pipe at a speed that keeps it clean and quiet: the limits with their sources, and words.

import type { UnitSystem } from "../units/display.ts";
import { fromSi, toSi } from "../units/unit.ts";

export interface VelocityLimit {
  readonly velocity_ms: number;
  readonly source: string;
}

/** Slower, sand and silt settle in the pipe. */
export const keepsSolidsMoving: VelocityLimit = {
  velocity_ms: toSi(2, "ft"),
  source: "30 Tex. Admin. Code §317.3: a force main runs at 2 ft/s or more; common practice elsewhere too",
};

/** Faster, it is heard in the house, and a closing check valve knocks. */
export const staysQuiet: VelocityLimit = { velocity_ms: toSi(5, "ft"), source: "common practice, no source" };

/** Faster, water hammer strains pipe and joints. */
export const highestVelocity: VelocityLimit = {
  velocity_ms: toSi(8, "ft"),
  source: "30 Tex. Admin. Code §317.3: discharge pipes of pumping stations run at 8 ft/s or less",
};

export type VelocityVerdict = "settles" | "good" | "noisy" | "hammers";

export interface VelocityOpinion {
  readonly velocity_ms: number;
  readonly verdict: VelocityVerdict;
  /** The limit that it is off; null when it is within all. */
  readonly limit: VelocityLimit | null;
  readonly message: string;
}

/**
 * @param velocity_ms in the pipe while the pump works, 0 or above
 * @param where       what to call it, of a discharge in several sizes: `the 2 in PVC schedule 40`
 */
export function velocityOpinion(velocity_ms: number, system: UnitSystem, where = "the pipe"): VelocityOpinion {
  const moves = `The water goes through ${where} at ${speed(velocity_ms, system)}`;
  const opinion = (verdict: VelocityVerdict, limit: VelocityLimit | null, rest: string): VelocityOpinion => ({
    velocity_ms,
    verdict,
    limit,
    message: `${moves}${rest}${limit === null ? "" : ` (${limit.source})`}.`,
  });
  if (velocity_ms < keepsSolidsMoving.velocity_ms) {
    const least = speed(keepsSolidsMoving.velocity_ms, system);
    return opinion("settles", keepsSolidsMoving, `, less than the ${least} that keep sand and silt moving`);
  }
  if (velocity_ms > highestVelocity.velocity_ms) {
    const most = speed(highestVelocity.velocity_ms, system);
    return opinion("hammers", highestVelocity, `, more than ${most}: expect noise and water hammer; take a wider pipe`);
  }
  if (velocity_ms > staysQuiet.velocity_ms) {
    const quiet = speed(staysQuiet.velocity_ms, system);
    return opinion("noisy", staysQuiet, `, more than the ${quiet} up to which it is quiet; a wider pipe is quieter`);
  }
  return opinion("good", null, ": fast enough to keep sand and silt moving, slow enough to be quiet");
}

function speed(velocity_ms: number, system: UnitSystem): string {
  const us = `${fromSi(velocity_ms, "ft").toFixed(1)} ft/s`;
  const metric = `${velocity_ms.toFixed(2)} m/s`;
  return system === "us" ? `${us} (${metric})` : `${metric} (${us})`;
}
