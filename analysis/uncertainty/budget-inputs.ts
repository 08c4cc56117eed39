// What stands behind the budgets: each input that is stated or assumed, its standard uncertainty, and how much of every
// flow and volume one unit of it makes.

import type { InflowMethod } from "../cycles/cycle.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { usualFloat_m } from "../inflow/active-volume.ts";
import type { MeasurementSite, Site } from "../site.ts";
import { sharedErrors } from "./shared-errors.ts";

export interface BudgetInput {
  /** Key of the site file. */
  readonly key: string;
  /** Standard uncertainty: the stated half-width over 1.96. */
  readonly u: number;
  readonly unit: "1" | "m" | "m3" | "s";
  /**
   * Share of every volume and flow that one unit of it makes, between start and stop level; null where it differs from
   * cycle to cycle: a float's trip by the free surface over the time, an edge by the flow over the length.
   */
  readonly sensitivity: number | null;
  /** Not stated: common practice, no source. */
  readonly assumed: boolean;
}

const keys = [
  ["geometry", "uGeometry", "1"],
  ["level_span", "uLevelSpan", "1"],
  ["level_zero", "uLevelZero_m", "m"],
  ["float_levels", "uFloatLevels_m", "m"],
  ["float_repeatability", "uFloatRepeatability_m", "m"],
  ["edge_timing", "uEdge_s", "s"],
] as const satisfies readonly (readonly [string, keyof MeasurementSite, BudgetInput["unit"]])[];

const nothing: MeasurementSite = {
  uGeometry: null,
  uLevelSpan: null,
  uLevelZero_m: null,
  uFloatLevels_m: null,
  uFloatRepeatability_m: null,
  uEdge_s: null,
};

/** Those that count where levels are read, or where none is. */
export function budgetInputs(
  { basin, measurement }: Site,
  geometry: BasinGeometry,
  method: InflowMethod,
): BudgetInput[] {
  const inputs = keys.flatMap(([name, field, unit]): BudgetInput[] => {
    const stated = measurement?.[field] ?? null;
    const assumed = stated === null && field === "uFloatRepeatability_m" && method === "active-volume";
    const u = assumed ? usualFloat_m : stated;
    if (u === null || !(u > 0) || (field === "uFloatRepeatability_m" && method !== "active-volume")) return [];
    const key = `measurement.${name}`;
    if (field === "uFloatRepeatability_m" || field === "uEdge_s") return [{ key, u, unit, sensitivity: null, assumed }];
    const alone = { basin: { ...basin, activeVolume: null }, measurement: { ...nothing, [field]: u } };
    const shared = sharedErrors(alone, geometry, method, { low_m: null, high_m: null });
    const sensitivity = Math.hypot(shared.geometry, shared.calibration) / u;
    return sensitivity > 0 ? [{ key, u, unit, sensitivity, assumed }] : [];
  });
  const measured = basin.activeVolume ?? null;
  if (method !== "active-volume" || measured === null) return inputs;
  const { volume_m3, uVolume_m3 } = measured;
  const scatter = inputs.filter(({ sensitivity }) => sensitivity === null);
  if (uVolume_m3 === null) return scatter;
  const key = "basin.active_volume_uncertainty";
  return [{ key, u: uVolume_m3, unit: "m3", sensitivity: 1 / volume_m3, assumed: false }, ...scatter];
}
