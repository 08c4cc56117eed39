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
  /** `assumed`: common practice, no source. `learned`: from where a read level stood at the trips; it counts without one. */
  readonly origin: "stated" | "assumed" | "learned";
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

/**
 * Those that count where levels are read, or where none is.
 *
 * @param learnedFloat_m standard deviation of one trip of the float, as a read level has shown it; null if none has
 */
export function budgetInputs(
  { basin, measurement }: Site,
  geometry: BasinGeometry,
  method: InflowMethod,
  learnedFloat_m: number | null = null,
): BudgetInput[] {
  const inputs = keys.flatMap(([name, field, unit]): BudgetInput[] => {
    const key = `measurement.${name}`;
    if (field === "uFloatRepeatability_m") return floatInput(key, method, measurement?.[field] ?? null, learnedFloat_m);
    const u = measurement?.[field] ?? 0;
    if (!(u > 0)) return [];
    const stated: Omit<BudgetInput, "sensitivity"> = { key, u, unit, origin: "stated" };
    if (field === "uEdge_s") return [{ ...stated, sensitivity: null }];
    const alone = { basin: { ...basin, activeVolume: null }, measurement: { ...nothing, [field]: u } };
    const shared = sharedErrors(alone, geometry, method, { low_m: null, high_m: null });
    const sensitivity = Math.hypot(shared.geometry, shared.calibration) / u;
    return sensitivity > 0 ? [{ ...stated, sensitivity }] : [];
  });
  const measured = basin.activeVolume ?? null;
  if (method !== "active-volume" || measured === null) return inputs;
  const ofEachCycle = inputs.filter(({ sensitivity }) => sensitivity === null);
  const { volume_m3, uVolume_m3: u } = measured;
  if (u === null) return ofEachCycle;
  const key = "basin.active_volume_uncertainty";
  return [{ key, u, unit: "m3", sensitivity: 1 / volume_m3, origin: "stated" }, ...ofEachCycle];
}

function floatInput(
  key: string,
  method: InflowMethod,
  stated_m: number | null,
  learned_m: number | null,
): BudgetInput[] {
  const input = (u: number, origin: BudgetInput["origin"]): BudgetInput[] => {
    return [{ key, u, unit: "m", sensitivity: null, origin }];
  };
  if (method === "fill-slope") return learned_m === null ? [] : input(learned_m, "learned");
  return stated_m === null ? input(usualFloat_m, "assumed") : input(stated_m, "stated");
}
