// What the site's pump moves against the site's discharge, against the water level: worked out once, then looked up,
// since friction is too costly for every tenth of a second.

import { dutyPoint } from "../../../analysis/hydraulics/duty-point.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import type { CurvePoint, DischargeSite } from "../../../analysis/site.ts";

const rows = 40;

/**
 * Flow at the duty point for a water level, linear between 41 levels from the basin's bottom to `top_m`; beyond them the
 * flow at the end. 0 where the pump cannot lift the water to the high point.
 */
export function pumpFlowTable(
  points: readonly CurvePoint[],
  discharge: DischargeSite,
  top_m: number,
): (level_m: number) => number {
  const curve = pumpCurve(points);
  const flow_m3s = Float64Array.from(
    { length: rows + 1 },
    (_, row) => dutyPoint(curve, discharge, (row * top_m) / rows)?.flow_m3s ?? 0,
  );
  return (level_m) => {
    const position = Math.min(rows, Math.max(0, (level_m / top_m) * rows));
    const row = Math.min(rows - 1, Math.floor(position));
    const below = flow_m3s[row] ?? 0;
    return below + (position - row) * ((flow_m3s[row + 1] ?? 0) - below);
  };
}
