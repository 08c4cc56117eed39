// What the site file states of how well the basin and its instruments are known, as relative errors of a flow or a volume
// that are the same in every cycle. They neither average away over cycles nor show in what one pump does beside another.

import type { FlowEstimate, InflowMethod } from "../cycles/cycle.ts";
import { withParts } from "../cycles/flow-arithmetic.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { usualFloat_m } from "../inflow/active-volume.ts";
import type { Site } from "../site.ts";
import type { OtherParts } from "./parts.ts";

/** Relative standard uncertainties of every volume, and so of every flow. */
export interface SharedErrors {
  readonly geometry: number;
  readonly calibration: number;
  /** Of figures over many cycles: what is assumed of the floats does not average away. */
  readonly floats?: number;
}

export const noSharedErrors: SharedErrors = { geometry: 0, calibration: 0 };

/** Levels between which the volume lay; null where they are not known. */
export interface Between {
  readonly low_m: number | null;
  readonly high_m: number | null;
}

/**
 * Volume between two levels, V(high) − V(low), and what an error of each input makes of it, as a share of it.
 *
 * - By a level: the geometry's own share; the span's error moves both levels by their height, the zero's error both alike,
 *   so that a zero matters only where the free surface is not the same at both.
 * - By the floats: the measured active volume's own; else the geometry's share and, at either level, the free surface times
 *   the error of the level that is given.
 *
 * @see JCGM 100:2008, 5.1.2; the sensitivities are the derivatives of V(high·(1 + span) + zero) − V(low·(1 + span) + zero)
 */
export function sharedErrors(
  { basin, measurement }: Pick<Site, "basin" | "measurement">,
  geometry: BasinGeometry,
  method: InflowMethod,
  levels: Between,
): SharedErrors {
  const measured = basin.activeVolume ?? null;
  if (method === "active-volume" && measured !== null) {
    return { geometry: 0, calibration: (measured.uVolume_m3 ?? 0) / measured.volume_m3 };
  }
  if (measurement == null) return noSharedErrors;
  const uGeometry = measurement.uGeometry ?? 0;
  const asGiven = { low_m: basin.stopLevel_m, high_m: basin.startLevel_m };
  const stretch = stretchOf(geometry, levels) ?? stretchOf(geometry, asGiven);
  if (method === "active-volume") {
    const trips = stretch === null ? 0 : Math.hypot(stretch.lowArea_m2, stretch.highArea_m2) / stretch.volume_m3;
    return { geometry: Math.hypot(uGeometry, trips * (measurement.uFloatLevels_m ?? 0)), calibration: 0 };
  }
  const span =
    stretch === null ? 1 : Math.abs(stretch.highArea_m2 * stretch.high_m - stretch.lowArea_m2 * stretch.low_m);
  const zero = stretch === null ? 0 : Math.abs(stretch.highArea_m2 - stretch.lowArea_m2);
  const perVolume = stretch === null ? 1 : 1 / stretch.volume_m3;
  const uSpan = perVolume * span * (measurement.uLevelSpan ?? 0);
  return { geometry: uGeometry, calibration: Math.hypot(uSpan, perVolume * zero * (measurement.uLevelZero_m ?? 0)) };
}

/**
 * Where nothing is stated of the floats, nobody knows how much of what is assumed of them is scatter, and how much a level
 * that was given a little wrong: for figures over many cycles it counts in full.
 */
export function assumedOfFloats(
  { basin, measurement }: Pick<Site, "basin" | "measurement">,
  geometry: BasinGeometry,
): number {
  const stated = basin.activeVolume ?? measurement?.uFloatLevels_m ?? measurement?.uFloatRepeatability_m ?? null;
  const stretch = stretchOf(geometry, { low_m: basin.stopLevel_m, high_m: basin.startLevel_m });
  if (stated !== null || stretch === null) return 0;
  return (usualFloat_m * Math.hypot(stretch.lowArea_m2, stretch.highArea_m2)) / stretch.volume_m3;
}

/** Null where the levels are not known, or no volume lies between them: in a storm the water rises while the pump runs. */
function stretchOf(geometry: BasinGeometry, { low_m, high_m }: Between) {
  if (low_m === null || high_m === null) return null;
  const volume_m3 = geometry.volume_m3(high_m) - geometry.volume_m3(low_m);
  if (!(volume_m3 > 0)) return null;
  return { low_m, high_m, volume_m3, lowArea_m2: geometry.area_m2(low_m), highArea_m2: geometry.area_m2(high_m) };
}

/**
 * The errors by a level sensor whose span was found to have gone off by that share: nobody knows since when by how much, so
 * the truth lies anywhere up to so far off (rectangular: GUM 4.3.7).
 */
export function withSpanOff(shared: SharedErrors, span_share: number): SharedErrors {
  return span_share === 0
    ? shared
    : { ...shared, calibration: Math.hypot(shared.calibration, span_share / Math.sqrt(3)) };
}

/** The flow with the shared errors in its uncertainty; itself where nothing is stated. */
export function withShared<Estimate extends FlowEstimate>(estimate: Estimate, shared: SharedErrors): Estimate {
  return withParts(estimate, partsOf(shared, Math.abs(estimate.flow_m3s)));
}

/** Of a figure of that size, in its unit. */
export function partsOf({ geometry, calibration, floats = 0 }: SharedErrors, size: number): OtherParts {
  const parts = { geometry: geometry * size, calibration: calibration * size };
  return floats === 0 ? parts : { ...parts, "float-repeatability": floats * size };
}
