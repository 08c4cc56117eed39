// The basin as a vessel: water level to stored volume and back. What stands in the basin (pump, pipes) is taken off.

import type { BasinShape } from "../site.ts";

export interface BasinGeometry {
  /** Water held up to `level_m`; grows without end above the rim and below the bottom, so that noise stays unbiased. */
  volume_m3(level_m: number): number;
  level_m(volume_m3: number): number;
  /** Free water surface at `level_m`, pump and pipes left out. */
  area_m2(level_m: number): number;
}

/**
 * Level ↔ volume for a basin of the given shape.
 *
 * A table is linear between its rows; its first and last stretch carry on beyond its ends, since a level sensor's noise
 * crosses them.
 *
 * @throws {RangeError} when the shape holds no water: an area that is not positive, or a table that does not rise
 */
export function basinGeometry(shape: BasinShape): BasinGeometry {
  if (shape.shape === "table") return tableGeometry(shape.rows);
  const plan_m2 = shape.shape === "round" ? (Math.PI / 4) * shape.diameter_m ** 2 : shape.width_m * shape.length_m;
  const area_m2 = plan_m2 - shape.occupiedArea_m2;
  if (!(area_m2 > 0)) {
    throw new RangeError(`basinGeometry: the free area is ${area_m2} m² (plan ${plan_m2} m²); it must be above 0`);
  }
  return {
    volume_m3: (level_m) => area_m2 * level_m,
    level_m: (volume_m3) => volume_m3 / area_m2,
    area_m2: () => area_m2,
  };
}

type Row = { readonly level_m: number; readonly volume_m3: number };

function tableGeometry(rows: readonly Row[]): BasinGeometry {
  const levels_m = rows.map((row) => row.level_m);
  const volumes_m3 = rows.map((row) => row.volume_m3);
  if (rows.length < 2 || !rises(levels_m) || !rises(volumes_m3)) {
    throw new RangeError("basinGeometry: a table needs two rows or more, level and volume both rising from row to row");
  }
  return {
    volume_m3: (level_m) => interpolate(levels_m, volumes_m3, level_m),
    level_m: (volume_m3) => interpolate(volumes_m3, levels_m, volume_m3),
    area_m2: (level_m) => slopeAt(levels_m, volumes_m3, level_m),
  };
}

function rises(values: readonly number[]): boolean {
  return values.every((value, i) => i === 0 || value > (values[i - 1] ?? Number.NaN));
}

/** Index of the stretch that holds `x`, the first or last one beyond the ends. */
function stretchAt(xs: readonly number[], x: number): number {
  let low = 0;
  let high = xs.length - 2;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (x >= (xs[middle] ?? Number.NaN)) low = middle;
    else high = middle - 1;
  }
  return low;
}

function slopeAt(xs: readonly number[], ys: readonly number[], x: number): number {
  const i = stretchAt(xs, x);
  return ((ys[i + 1] ?? Number.NaN) - (ys[i] ?? Number.NaN)) / ((xs[i + 1] ?? Number.NaN) - (xs[i] ?? Number.NaN));
}

function interpolate(xs: readonly number[], ys: readonly number[], x: number): number {
  const i = stretchAt(xs, x);
  return (ys[i] ?? Number.NaN) + (x - (xs[i] ?? Number.NaN)) * slopeAt(xs, ys, x);
}
