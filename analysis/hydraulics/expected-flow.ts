// What a pump's published curve gives on its discharge at every water level of a basin, as a table: worked out once, since
// each duty point is a search. Plain data.

import type { PumpSite, Site } from "../site.ts";
import { ofSecondPump } from "./discharge-path.ts";
import { dutyPoint } from "./duty-point.ts";
import { pumpCurve } from "./pump-curve.ts";

/** Duty flow at `step_m` · i above the inside bottom; null where the curves do not meet between the curve's points. */
export interface ExpectedFlows {
  readonly step_m: number;
  readonly flow_m3s: readonly (number | null)[];
}

const step_m = 0.05;
/** Of a basin whose depth is not given. */
const usualTop_m = 1;
const highest_m = 5;

/**
 * @param pump one of the site's; the second of two is met through its own riser
 * @returns null without a published curve or a discharge, or where they do not meet at all
 */
export function expectedFlows(site: Site, pump: PumpSite | null): ExpectedFlows | null {
  const { basin } = site;
  const points = pump?.curve ?? null;
  const isSecond = pump !== null && pump === site.pumps?.[1];
  const discharge = site.discharge !== null && isSecond ? ofSecondPump(site.discharge) : site.discharge;
  if (points === null || discharge === null) return null;
  const curve = pumpCurve(points);
  const top_m = Math.min(highest_m, Math.max(basin.overflowLevel_m ?? 0, basin.depth_m ?? 0) || usualTop_m);
  const flow_m3s = Array.from(
    { length: Math.ceil(top_m / step_m) + 2 },
    (_, i) => dutyPoint(curve, discharge, i * step_m)?.flow_m3s ?? null,
  );
  return flow_m3s.some((flow) => flow !== null) ? { step_m, flow_m3s } : null;
}

/** Straight between the rows; null outside them and beside a level at which there is no duty point. */
export function expectedAt({ step_m: step, flow_m3s }: ExpectedFlows, level_m: number): number | null {
  const place = level_m / step;
  const i = Math.min(flow_m3s.length - 2, Math.max(0, Math.floor(place)));
  const below = flow_m3s[i] ?? null;
  const above = flow_m3s[i + 1] ?? null;
  if (!(place >= 0 && place <= flow_m3s.length - 1) || below === null || above === null) return null;
  return below + (above - below) * (place - i);
}
