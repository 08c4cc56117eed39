// A chunk's levels straight into the buckets of a chart. Of each run of readings in one bucket the whole steps of the
// sensor are compared and added up, as they are kept; only what comes of it is put into metres: exact, and some times as
// fast as reading by reading.

import { eachRun, type LevelFold, type TakeRun } from "../level-fold.ts";
import type { Span } from "../store.ts";
import { byteReader } from "./bytes.ts";
import { countIn } from "./chunk.ts";
import { mostReadings } from "./cutter.ts";
import { fromGrid, type Grid } from "./grid.ts";
import { readSteps, type Steps, spread, stepsOf, valuesOf } from "./number-column.ts";

/** Used again for each chunk: to ask for so much memory, and to give it back, takes longer than to fill it. */
const room = { time: new Float64Array(mostReadings), level: new Float64Array(mostReadings) };

/** @throws {RangeError} when these are not the bytes of a chunk */
export function foldLevels(bytes: Uint8Array, fold: LevelFold, span: Span): void {
  const from = byteReader(bytes);
  const count = countIn(from);
  const time = readSteps(from, count, roomFor(count, room.time));
  const level = readSteps(from, count, roomFor(count, room.level));
  if (time === null || level === null) return;
  const { grid, present } = level;
  if (grid === null || present !== null) {
    const values = valuesOf(level);
    fold.addLevels(valuesOf(time), present === null ? values : spread(values, present), span);
    return;
  }
  const steps = stepsOf(level);
  const take: TakeRun = (bucket, begin, end) => addSteps(fold, bucket, grid, steps, begin, end);
  if (time.grid !== null && time.pace === 1) eachEvenRun(fold, { ...time, grid: time.grid }, span, take);
  else eachRun(fold, valuesOf(time), span, take);
}

function roomFor(count: number, some: Float64Array): Float64Array {
  return count <= some.length ? some : new Float64Array(count);
}

function addSteps(fold: LevelFold, bucket: number, grid: Grid, steps: Float64Array, begin: number, end: number): void {
  let lowest = steps[begin] as number;
  let highest = lowest;
  let sum = 0;
  for (let i = begin; i < end; i++) {
    const one = steps[i] as number;
    if (one < lowest) lowest = one;
    if (one > highest) highest = one;
    sum += one;
  }
  const { origin, step } = grid;
  const levels = end - begin;
  fold.add(
    bucket,
    fromGrid(grid, origin + step * lowest),
    fromGrid(grid, origin + step * highest),
    fromGrid(grid, origin * levels + step * sum),
    levels,
  );
}

/** Where each time is a step after the one before, the ends of buckets are reckoned, and no time is looked at. */
function eachEvenRun(
  { origin_s, bucket_s }: LevelFold,
  { grid, steps }: Steps & { readonly grid: Grid },
  { from_s, to_s }: Span,
  take: TakeRun,
): void {
  const timeAt = (i: number) => fromGrid(grid, grid.origin + grid.step * i);
  const first_s = timeAt(0);
  const perSecond = 1 / (timeAt(1) - first_s);
  /** The first from `least` on that is not before that time, at most `most`. */
  const placeOf = (time_s: number, least: number, most: number) => {
    let i = Math.min(most, Math.max(least, Math.ceil((time_s - first_s) * perSecond)));
    while (i > least && timeAt(i - 1) >= time_s) i--;
    while (i < most && timeAt(i) < time_s) i++;
    return i;
  };

  const begin = placeOf(from_s, 0, steps.length);
  let end = placeOf(to_s, begin, steps.length);
  while (end < steps.length && timeAt(end) <= to_s) end++;
  for (let i = begin; i < end; ) {
    const bucket = Math.floor((timeAt(i) - origin_s) / bucket_s);
    const next = placeOf(origin_s + (bucket + 1) * bucket_s, i + 1, end);
    take(bucket, i, next);
    i = next;
  }
}
