// The volume between the floats as they are, and how well it is known.

import { basinGeometry } from "../geometry/basin.ts";
import type { Site } from "../site.ts";

/** Volume between the floats as they are, measured or by the basin's shape; null where the levels are not known. */
export function activeVolume(site: Site): { volume_m3: number; u_m3: number; from: "measured" | "geometry" } | null {
  const { basin, measurement } = site;
  if (basin.activeVolume != null) {
    return {
      volume_m3: basin.activeVolume.volume_m3,
      u_m3: basin.activeVolume.uVolume_m3 ?? Number.NaN,
      from: "measured",
    };
  }
  if (basin.startLevel_m === null || basin.stopLevel_m === null) return null;
  const { volume_m3, area_m2 } = basinGeometry(basin.geometry);
  const volume = volume_m3(basin.startLevel_m) - volume_m3(basin.stopLevel_m);
  if (measurement == null) return { volume_m3: volume, u_m3: Number.NaN, from: "geometry" };
  const uFloats_m3 =
    (measurement.uFloatLevels_m ?? 0) * Math.hypot(area_m2(basin.startLevel_m), area_m2(basin.stopLevel_m));
  return { volume_m3: volume, u_m3: Math.hypot((measurement.uGeometry ?? 0) * volume, uFloats_m3), from: "geometry" };
}
