// Levels summed up by ten minutes and by days, as points, which the database adds up further (level-query.ts). The board
// sums up what it sends (level-sums.ts), so that what arrives days late is in them too, and needs no right but to write.

import { nanoseconds } from "./instant.ts";
import { needed } from "./known-fields.ts";
import { lineInteger, type Row } from "./line-values.ts";
import { type Point, pointOf } from "./point.ts";

/** In whole nanometres: the database sums and compares them exactly. */
export interface LevelSum {
  readonly from_s: number;
  /** 600 or 86,400; `from_s` is a multiple of it. */
  readonly length_s: number;
  readonly levels: number;
  readonly minimum_nm: number;
  readonly maximum_nm: number;
  readonly sum_nm: number;
}

export function levelSumPoint(basin: string, sum: LevelSum): Point {
  const measurement = sum.length_s === 600 ? "level_10m" : "level_1d";
  return pointOf(measurement, basin, nanoseconds(sum.from_s), {
    levels: lineInteger(sum.levels),
    minimum_nm: lineInteger(sum.minimum_nm),
    maximum_nm: lineInteger(sum.maximum_nm),
    sum_nm: lineInteger(sum.sum_nm),
  });
}

export function levelSumIn(row: Row, length_s: number): LevelSum {
  return {
    from_s: needed(row, "time") / 1e6,
    length_s,
    levels: needed(row, "levels"),
    minimum_nm: needed(row, "minimum_nm"),
    maximum_nm: needed(row, "maximum_nm"),
    sum_nm: needed(row, "sum_nm"),
  };
}
