// What of a site file the simulated house cannot do without.

import type { BasinSite, CurvePoint, DischargeSite, Site } from "../../../analysis/site.ts";

export interface NeededOfSite {
  readonly basin: BasinSite & { readonly startLevel_m: number; readonly stopLevel_m: number };
  readonly curve: readonly CurvePoint[];
  readonly discharge: DischargeSite;
}

/** @throws {Error} naming every key that is missing */
export function neededOf(site: Site): NeededOfSite {
  const { startLevel_m, stopLevel_m } = site.basin;
  const curve = site.pump?.curve ?? null;
  const { discharge } = site;
  if (startLevel_m !== null && stopLevel_m !== null && curve !== null && discharge !== null) {
    return { basin: { ...site.basin, startLevel_m, stopLevel_m }, curve, discharge };
  }
  const needed = { "basin.start_level": startLevel_m, "basin.stop_level": stopLevel_m, "pump.curve": curve, discharge };
  const missing = Object.entries(needed).flatMap(([key, value]) => (value === null ? [key] : []));
  throw new Error(`simulated: the site file lacks ${missing.join(", ")}; a simulated house needs them to pump water`);
}
