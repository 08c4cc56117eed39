// A day of levels in 144 parts of ten minutes: how many, the lowest, the highest, their sum. As bytes some eight a part.

import { byteReader, byteWriter } from "../chunk/bytes.ts";
import { readNumbers, writeNumbers } from "../chunk/number-column.ts";

export const part_s = 600;
export const partsOfDay = 144;

/** Columns by part; lowest and highest are NaN where there is no level. */
export interface DayParts {
  readonly levels: Float64Array;
  readonly minimum_m: Float64Array;
  readonly maximum_m: Float64Array;
  /** In nanometres, each level rounded to one: whole numbers, so that it does not matter in which order they came. */
  readonly sum_nm: Float64Array;
}

export function noParts(): DayParts {
  return {
    levels: new Float64Array(partsOfDay),
    minimum_m: new Float64Array(partsOfDay).fill(Number.NaN),
    maximum_m: new Float64Array(partsOfDay).fill(Number.NaN),
    sum_nm: new Float64Array(partsOfDay),
  };
}

export function addToPart(parts: DayParts, part: number, level_m: number): void {
  parts.levels[part] = (parts.levels[part] as number) + 1;
  parts.sum_nm[part] = (parts.sum_nm[part] as number) + nanometres(level_m);
  if (!((parts.minimum_m[part] as number) <= level_m)) parts.minimum_m[part] = level_m;
  if (!((parts.maximum_m[part] as number) >= level_m)) parts.maximum_m[part] = level_m;
}

export function nanometres(level_m: number): number {
  return Math.round(level_m * 1e9);
}

/** How many in runs of the same, then a column each of the others: not deflated, for a year of days is read at once. */
export function encodeParts({ levels, minimum_m, maximum_m, sum_nm }: DayParts): Uint8Array {
  const out = byteWriter(1024);
  for (let part = 0, begin = 0; part < partsOfDay; part++) {
    if (part + 1 < partsOfDay && levels[part + 1] === levels[part]) continue;
    out.varint(part + 1 - begin);
    out.varint(levels[part] as number);
    begin = part + 1;
  }
  const present = Uint8Array.from(levels, (count) => (count > 0 ? 1 : 0));
  const column = present.includes(0) ? present : null;
  for (const values of [minimum_m, maximum_m, sum_nm]) {
    writeNumbers(out, present.includes(1) ? { values, present: column } : null, false);
  }
  return out.written().slice();
}

export function decodeParts(bytes: Uint8Array): DayParts {
  const from = byteReader(bytes);
  const levels = new Float64Array(partsOfDay);
  for (let part = 0; part < partsOfDay; ) {
    const end = part + from.varint();
    levels.fill(from.varint(), part, end);
    part = end;
  }
  const column = () => readNumbers(from, partsOfDay)?.values ?? new Float64Array(partsOfDay).fill(Number.NaN);
  const [minimum_m, maximum_m, sum_nm] = [column(), column(), column()];
  if (levels.includes(0)) for (let part = 0; part < partsOfDay; part++) if (levels[part] === 0) sum_nm[part] = 0;
  return { levels, minimum_m, maximum_m, sum_nm };
}
