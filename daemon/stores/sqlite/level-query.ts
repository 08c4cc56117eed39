// Level over any span in at most so many points: from the readings while those are few, else from the roll-up that is
// just fine enough: ten minutes, or days.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { levelFold, levelReadings } from "../level-fold.ts";
import type { LevelSeries, Span } from "../store.ts";
import type { ChunkLevels } from "./chunk-levels.ts";
import type { ChunkExtent, ChunkTable } from "./chunk-table.ts";
import { nanometres, part_s, partsOfDay } from "./day-parts.ts";
import type { Extent } from "./day-table.ts";
import { day_s, type Rollups } from "./rollups.ts";

/** So many readings are looked at for one answer at most; more come from a roll-up. */
const mostReadings = 400_000;

export interface LevelParts {
  readonly chunks: ChunkTable;
  readonly chunkLevels: ChunkLevels;
  readonly rollups: Rollups;
  /** Readings that are in no chunk yet. */
  readonly waiting: readonly Reading[];
}

interface Levels {
  readonly time_s: Float64Array;
  readonly level_m: Float64Array;
}

/**
 * @param span   within the record
 * @param points at least 2
 */
export function levelQuery(parts: LevelParts, span: Span, points: number): LevelSeries {
  const waiting = levelsOf(parts.waiting, span);
  // One part less than asked for, because parts are aligned to the clock and the span is not.
  const ideal_s = Math.max((span.to_s - span.from_s) / (points - 1), 0.001);
  const { levels, firstNth, lastNth } = extentOf(parts.rollups, span);

  const few = levels + waiting.time_s.length <= points;
  // Twice as coarse as asked for is still finer than the eye.
  const allThere = span.from_s >= parts.chunks.levelHorizon_s();
  if (allThere && (few || ideal_s < part_s / 2)) {
    const extent = { firstNth, lastNth, ...span };
    if (few) return eachLevel(parts.chunks, extent, waiting);
    if (parts.chunks.readingsIn(extent) + waiting.time_s.length <= mostReadings) {
      return fromReadings(parts, extent, waiting, points, ideal_s);
    }
  }
  return ideal_s < day_s / 2
    ? fromParts(parts.rollups, span, waiting, ideal_s)
    : fromDays(parts.rollups, span, waiting, ideal_s);
}

function fromReadings(
  { chunks, chunkLevels }: LevelParts,
  extent: ChunkExtent,
  waiting: Levels,
  points: number,
  ideal_s: number,
): LevelSeries {
  const bucket_s = bucketLength(ideal_s);
  const fold = levelFold(Math.floor(extent.from_s / bucket_s) * bucket_s, bucket_s, extent.to_s);
  chunkLevels.addTo(fold, extent);
  fold.addLevels(waiting.time_s, waiting.level_m, extent);
  // Of few levels in a few chunks each is shown: to read these once more is soon done.
  return fold.levels() <= points ? eachLevel(chunks, extent, waiting) : fold.series();
}

function eachLevel(chunks: ChunkTable, extent: ChunkExtent, waiting: Levels): LevelSeries {
  const each: { time_s: number[]; level_m: number[] } = { time_s: [], level_m: [] };
  const add = ({ time_s, level_m }: Levels) => {
    for (let i = 0; i < time_s.length; i++) {
      const [time, level] = [time_s[i] as number, level_m[i] as number];
      if (!(time >= extent.from_s && time <= extent.to_s) || !Number.isFinite(level)) continue;
      each.time_s.push(time);
      each.level_m.push(level);
    }
  };
  for (const { time_s, level_m } of chunks.levels(extent)) if (level_m !== null) add({ time_s, level_m });
  add(waiting);
  return levelReadings(each.time_s, each.level_m);
}

/** Whole seconds, and whole minutes, suit readings that come by the second. */
export function bucketLength(ideal_s: number): number {
  if (ideal_s > 30) return Math.ceil(ideal_s / 60) * 60;
  return ideal_s > 1 ? Math.ceil(ideal_s) : ideal_s;
}

function fromParts({ table }: Rollups, span: Span, waiting: Levels, ideal_s: number): LevelSeries {
  const perGroup = Math.max(1, Math.ceil(ideal_s / part_s));
  const [from, to] = [Math.floor(span.from_s / part_s), Math.floor(span.to_s / part_s)];
  const origin = Math.floor(from / perGroup) * perGroup;
  const fold = levelFold(origin * part_s, perGroup * part_s, span.to_s);
  for (const { day, parts } of table.withParts(...daysOf(span))) {
    const { levels, minimum_m, maximum_m, sum_nm } = parts;
    for (let i = 0; i < partsOfDay; i++) {
      const part = day * partsOfDay + i;
      if (part < from || part > to || levels[i] === 0) continue;
      fold.add(
        Math.floor((part - origin) / perGroup),
        minimum_m[i] as number,
        maximum_m[i] as number,
        sum_nm[i] as number,
        levels[i] as number,
      );
    }
  }
  return inMetres(fold, waiting, origin * part_s, perGroup * part_s);
}

function fromDays({ table }: Rollups, span: Span, waiting: Levels, ideal_s: number): LevelSeries {
  const perGroup = Math.max(1, Math.ceil(ideal_s / day_s));
  const [from, to] = daysOf(span);
  const origin = Math.floor(from / perGroup) * perGroup;
  const fold = levelFold(origin * day_s, perGroup * day_s, span.to_s);
  for (const { day, levels, minimum_m, maximum_m, sum_nm } of table.asOne(from, to)) {
    if (minimum_m === null || maximum_m === null) continue;
    fold.add(Math.floor((day - origin) / perGroup), minimum_m, maximum_m, sum_nm, levels);
  }
  return inMetres(fold, waiting, origin * day_s, perGroup * day_s);
}

/** The sums are in nanometres, of what waits, too: whole numbers, so that it is the same figure once that is rolled up. */
function inMetres(
  fold: ReturnType<typeof levelFold>,
  waiting: Levels,
  origin_s: number,
  bucket_s: number,
): LevelSeries {
  for (let i = 0; i < waiting.time_s.length; i++) {
    const level = waiting.level_m[i] as number;
    fold.add(Math.floor(((waiting.time_s[i] as number) - origin_s) / bucket_s), level, level, nanometres(level), 1);
  }
  const series = fold.series();
  return { ...series, mean_m: series.mean_m.map((mean_nm) => mean_nm / 1e9) };
}

/** How many levels the span's days hold, and the readings they stand in. */
export function extentOf({ table }: Rollups, span: Span): Extent {
  return table.extent(...daysOf(span)) ?? { levels: 0, firstNth: Number.MAX_SAFE_INTEGER, lastNth: 0 };
}

function daysOf(span: Span): [number, number] {
  return [Math.floor(span.from_s / day_s), Math.floor(span.to_s / day_s)];
}

/** Of the span, as columns: some ten thousand may wait. */
function levelsOf(waiting: readonly Reading[], { from_s, to_s }: Span): Levels {
  const [time_s, level_m] = [new Float64Array(waiting.length), new Float64Array(waiting.length)];
  let count = 0;
  for (let i = 0; i < waiting.length; i++) {
    const reading = waiting[i] as Reading;
    if (reading.level_m === null || !Number.isFinite(reading.level_m)) continue;
    if (!(reading.time_s >= from_s && reading.time_s <= to_s)) continue;
    time_s[count] = reading.time_s;
    level_m[count++] = reading.level_m;
  }
  return { time_s: time_s.subarray(0, count), level_m: level_m.subarray(0, count) };
}
