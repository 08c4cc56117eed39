// The basin's water: volume to level and back, worked out anew from the site's shape and not by the analysis' geometry.

import type { BasinShape } from "../../analysis/site.ts";

export interface Vessel {
  level_m(volume_m3: number): number;
  volume_m3(level_m: number): number;
  /** Free surface at the level. */
  area_m2(level_m: number): number;
}

export function vesselOf(shape: BasinShape): Vessel {
  if (shape.shape === "table") return tabledVessel(shape.rows);
  const plan_m2 = shape.shape === "round" ? Math.PI * (shape.diameter_m / 2) ** 2 : shape.width_m * shape.length_m;
  const area_m2 = plan_m2 - shape.occupiedArea_m2;
  return {
    level_m: (volume_m3) => volume_m3 / area_m2,
    volume_m3: (level_m) => level_m * area_m2,
    area_m2: () => area_m2,
  };
}

interface Row {
  readonly level_m: number;
  readonly volume_m3: number;
}

function tabledVessel(rows: readonly Row[]): Vessel {
  const slices = rows.slice(1).map((top, i) => {
    const bottom = rows[i] as Row;
    return { bottom, top, area_m2: (top.volume_m3 - bottom.volume_m3) / (top.level_m - bottom.level_m) };
  });
  const last = slices.at(-1) as (typeof slices)[number];
  const atLevel = (level_m: number) => slices.find(({ top }) => level_m < top.level_m) ?? last;
  const atVolume = (volume_m3: number) => slices.find(({ top }) => volume_m3 < top.volume_m3) ?? last;
  return {
    level_m(volume_m3) {
      const { bottom, area_m2 } = atVolume(volume_m3);
      return bottom.level_m + (volume_m3 - bottom.volume_m3) / area_m2;
    },
    volume_m3(level_m) {
      const { bottom, area_m2 } = atLevel(level_m);
      return bottom.volume_m3 + (level_m - bottom.level_m) * area_m2;
    },
    area_m2: (level_m) => atLevel(level_m).area_m2,
  };
}
