// Level over any span in at most so many points out of the shared database: from readings, each or summed up there, or
// from the sums by ten minutes or days that the board sent, and from the readings after these.

import { levelFold, levelReadings } from "../level-fold.ts";
import { bucketLength } from "../sqlite/level-query.ts";
import { type LevelSeries, overlap, type Span } from "../store.ts";
import { type AskBasin, askByTime } from "./basin-query.ts";
import { extentQuery } from "./extent-query.ts";
import { type Bucket, levelBuckets } from "./level-buckets.ts";
import { numberIn, type Row } from "./line-values.ts";
import { levelColumns } from "./reading-points.ts";
import { readingsQuery } from "./readings-query.ts";

const part_s = 600;
/** Parts as short as this hold few readings: they are summed up here, which costs the database less. */
const fetched_s = 3;
const day_s = 86_400;

/** @param points at least 2 */
export async function levelQuery(ask: AskBasin, span: Span, points: number): Promise<LevelSeries> {
  const extent = await extentQuery(ask);
  if (extent === null || !overlap(span, extent.record)) return levelReadings([], []);
  const from_s = Math.max(span.from_s, extent.record.from_s);
  const within = { from_s, to_s: Math.max(from_s, Math.min(span.to_s, extent.record.to_s)) };
  // One part less than asked for, because parts are aligned to the clock and the span is not.
  const ideal_s = Math.max((within.to_s - from_s) / (points - 1), 0.001);
  if (from_s >= extent.readingsFrom_s && ideal_s < part_s / 2) return fromReadings(ask, within, points, ideal_s);
  return fromSums(ask, within, points, ideal_s, extent.readingsFrom_s);
}

async function fromReadings(ask: AskBasin, span: Span, points: number, ideal_s: number): Promise<LevelSeries> {
  const bucket_s = bucketLength(ideal_s);
  if (bucket_s <= fetched_s) return eachOf(ask, span, points, bucket_s);
  const buckets = await levelBuckets(ask, span, bucket_s);
  if (buckets.reduce((sum, { levels }) => sum + levels, 0) <= points) return eachOf(ask, span, points, bucket_s);
  return folded(buckets, span, bucket_s);
}

async function eachOf(ask: AskBasin, span: Span, points: number, bucket_s: number): Promise<LevelSeries> {
  const fold = levelFold(Math.floor(span.from_s / bucket_s) * bucket_s, bucket_s, span.to_s);
  const few: { time_s: number[]; level_m: number[] } = { time_s: [], level_m: [] };
  for await (const some of readingsQuery(ask, span, levelColumns)) {
    const time_s = some.map((reading) => reading.time_s);
    const level_m = some.map((reading) => reading.level_m ?? Number.NaN);
    fold.addLevels(Float64Array.from(time_s), Float64Array.from(level_m), span);
    for (let i = 0; i < some.length && few.time_s.length <= points; i++) {
      if (!Number.isFinite(level_m[i])) continue;
      few.time_s.push(time_s[i] as number);
      few.level_m.push(level_m[i] as number);
    }
  }
  return few.time_s.length <= points ? levelReadings(few.time_s, few.level_m) : fold.series();
}

async function fromSums(
  ask: AskBasin,
  span: Span,
  points: number,
  ideal_s: number,
  readingsFrom_s: number,
): Promise<LevelSeries> {
  const length_s = ideal_s < day_s / 2 ? part_s : day_s;
  const bucket_s = Math.max(1, Math.ceil(ideal_s / length_s)) * length_s;
  const summedTo_s = await endOfSums(ask);
  const select = ["sum(levels) AS levels", "min(minimum_nm) AS min", "max(maximum_nm) AS max", "sum(sum_nm) AS sum"];
  const from = length_s === part_s ? "level_10m" : "level_1d";
  const whole = { from_s: Math.floor(span.from_s / length_s) * length_s, to_s: span.to_s };
  const rows = await askByTime(ask, { select, from }, whole, bucket_s);
  const tail = { from_s: Math.max(span.from_s, summedTo_s), to_s: span.to_s };
  const unsummed = tail.from_s <= tail.to_s ? await levelBuckets(ask, tail, bucket_s) : [];
  const buckets = [...rows.map(bucketIn), ...unsummed];
  const few = buckets.reduce((sum, { levels }) => sum + levels, 0) <= points && span.from_s >= readingsFrom_s;
  return few ? eachOf(ask, span, points, bucket_s) : folded(buckets, span, bucket_s);
}

/** Readings from then on are in no sum yet. */
async function endOfSums(ask: AskBasin): Promise<number> {
  const [last] = await ask({ select: ["levels"], from: "level_10m", rest: "ORDER BY time DESC LIMIT 1" });
  return last === undefined ? Number.NEGATIVE_INFINITY : (last.time as number) / 1e6 + part_s;
}

function bucketIn(row: Row): Bucket {
  const [levels, min, max, sum] = ["levels", "min", "max", "sum"].map((name) => numberIn(row, name) ?? Number.NaN);
  return {
    from_s: (row.time as number) / 1e6,
    levels: levels as number,
    minimum_m: (min as number) / 1e9,
    maximum_m: (max as number) / 1e9,
    sum_m: (sum as number) / 1e9,
  };
}

function folded(buckets: readonly Bucket[], span: Span, bucket_s: number): LevelSeries {
  const origin = Math.floor(span.from_s / bucket_s);
  const fold = levelFold(origin * bucket_s, bucket_s, span.to_s);
  for (const { from_s, minimum_m, maximum_m, sum_m, levels } of buckets) {
    fold.add(Math.round(from_s / bucket_s) - origin, minimum_m, maximum_m, sum_m, levels);
  }
  return fold.series();
}
