// Rain of another gauge or station, from a file of its own.

import type { RainStretch } from "../analysis/storms/rain.ts";
import { collectRain } from "./logged-record.ts";
import { type Asked, readForAnalysis, refuse } from "./read-for-analysis.ts";

/**
 * @param asked with the column map of that file
 * @returns undefined when it is bad input: it was said, and the exit status is set
 */
export async function rainOf(path: string, asked: Asked): Promise<readonly RainStretch[] | null | undefined> {
  const rain = collectRain();
  const result = await readForAnalysis(path, asked, rain);
  if (result === null) return undefined;
  if (result.channels.includes("rain_m")) return rain.stretches();
  refuse([`${path}: expected a column rain_mm or rain_in, found none`]);
  return undefined;
}
