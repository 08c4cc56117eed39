// The volume that the floats need between them, and the start level that gives it in this basin, never over the inlet nor
// within reach of high water.

import { type BasinGeometry, basinGeometry } from "../geometry/basin.ts";
import type { BasinSite } from "../site.ts";
import { toSi } from "../units/unit.ts";
import type { SizingFloats } from "./answer/basin.ts";
import { mostStartsPerHour, volumeForStarts_m3 } from "./cycling.ts";

/** Between the start level and high water, so that the float of the alarm stays dry in every cycle; no source. */
const underHigh_m = toSi(2, "in");

/** A float trips no more exactly than this; common practice, no source. */
const floatScatter_m = 0.005;

export interface Needed {
  readonly volume_m3: number;
  readonly forStarts_m3: number | null;
  readonly forRun_m3: number | null;
}

export function neededVolume(pump_m3s: number, allowed: number | null, minRun_s: number | null): Needed | null {
  if (allowed === null && minRun_s === null) return null;
  const forStarts_m3 = allowed === null ? null : volumeForStarts_m3(pump_m3s, allowed);
  const forRun_m3 = minRun_s === null ? null : pump_m3s * minRun_s;
  return { forStarts_m3, forRun_m3, volume_m3: Math.max(forStarts_m3 ?? 0, forRun_m3 ?? 0) };
}

/** The highest that the start level may be, and what it would meet there; null: nothing says. */
export function highestStart(basin: BasinSite): { readonly level_m: number; readonly why: string } | null {
  const limits = [
    { level_m: basin.inletLevel_m ?? null, why: "the inlet" },
    { level_m: basin.highLevel_m === null ? null : basin.highLevel_m - underHigh_m, why: "the high-water level" },
    { level_m: basin.overflowLevel_m === null ? null : basin.overflowLevel_m - underHigh_m, why: "the floor" },
    { level_m: basin.depth_m === null ? null : basin.depth_m - underHigh_m, why: "the rim" },
  ].flatMap(({ level_m, why }) => (level_m === null ? [] : [{ level_m, why }]));
  return limits.toSorted((a, b) => a.level_m - b.level_m)[0] ?? null;
}

/** The stop level stays, for what a pump needs to stand in is not known here; the start level rises as far as it must. */
export function setLevels(basin: BasinSite, volume_m3: number, pump_m3s: number): SizingFloats["set"] {
  const { stopLevel_m, startLevel_m, highLevel_m } = basin;
  if (stopLevel_m === null) return null;
  const geometry = basinGeometry(basin.geometry);
  const wanted_m = Math.max(startForVolume(geometry, stopLevel_m, volume_m3), startLevel_m ?? 0);
  const highest_m = highestStart(basin)?.level_m ?? Number.POSITIVE_INFINITY;
  if (wanted_m > highest_m + floatScatter_m) return null;
  const start_m = Math.min(wanted_m, highest_m);
  const active_m3 = geometry.volume_m3(start_m) - geometry.volume_m3(stopLevel_m);
  return {
    stop_mm: stopLevel_m * 1000,
    start_mm: start_m * 1000,
    high_mm: highLevel_m === null ? null : highLevel_m * 1000,
    active_l: active_m3 * 1000,
    starts_per_hour: mostStartsPerHour(active_m3, pump_m3s),
    run_s: active_m3 / pump_m3s,
  };
}

export function startForVolume(geometry: BasinGeometry, stop_m: number, volume_m3: number): number {
  return geometry.level_m(geometry.volume_m3(stop_m) + volume_m3);
}
