import { beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { encodeChunk } from "../../../../daemon/stores/chunk/chunk.ts";
import { levelFold } from "../../../../daemon/stores/level-fold.ts";
import { type ChunkLevels, chunkLevels } from "../../../../daemon/stores/sqlite/chunk-levels.ts";
import type { LevelSeries, Span } from "../../../../daemon/stores/store.ts";

const hour_s = 3600;
const day_s = 24 * hour_s;
const start_s = 1_767_614_400;
/** An hour each, of a reading in ten seconds, which begins where the one before ended. */
const perChunk = 360;
const levelAt = (nth: number) => ((nth * 37) % 501) / 1000;

let read: number[];
let levels: ChunkLevels;

beforeEach(() => {
  read = [];
  levels = chunkLevels({
    among: ({ from_s, to_s }) =>
      Array.from({ length: 600 }, (_, i) => ({
        firstNth: i * perChunk + 1,
        from_s: start_s + i * hour_s,
        to_s: start_s + (i + 1) * hour_s - 10,
      })).filter((chunk) => chunk.to_s >= from_s && chunk.from_s <= to_s),
    bytes(firstNth) {
      read.push(firstNth);
      const some = Array.from({ length: perChunk }, (_, i) => firstNth - 1 + i);
      return encodeChunk(some.map((nth) => ({ ...silentReading, time_s: start_s + nth * 10, level_m: levelAt(nth) })));
    },
  });
});

function ask(span: Span, bucket_s: number): LevelSeries {
  const fold = levelFold(Math.floor(span.from_s / bucket_s) * bucket_s, bucket_s, span.to_s);
  levels.addTo(fold, { ...span, firstNth: 1, lastNth: 1e9 });
  return fold.series();
}

function directly({ from_s, to_s }: Span, bucket_s: number): LevelSeries {
  const fold = levelFold(Math.floor(from_s / bucket_s) * bucket_s, bucket_s, to_s);
  const nths = Array.from({ length: 600 * perChunk }, (_, nth) => nth);
  fold.addLevels(
    Float64Array.from(nths, (nth) => start_s + nth * 10),
    Float64Array.from(nths, levelAt),
    { from_s, to_s },
  );
  return fold.series();
}

function expectTheSame(found: LevelSeries, expected: LevelSeries): void {
  expect({ ...found, mean_m: [] }).toStrictEqual({ ...expected, mean_m: [] });
  for (const [i, mean_m] of found.mean_m.entries()) expect(mean_m).toBeCloseTo(expected.mean_m[i] ?? Number.NaN, 12);
}

describe("levels of chunks", () => {
  const day = { from_s: start_s + 5 * hour_s + 130, to_s: start_s + 29 * hour_s + 130 };

  it.each([60, 120, 300])("are the same in buckets of %d s, asked for the first time and again", (bucket_s) => {
    const expected = directly(day, bucket_s);
    expectTheSame(ask(day, bucket_s), expected);
    expectTheSame(ask(day, bucket_s), expected);
  });

  it("are read again only from chunks that the span cuts", () => {
    ask(day, 60);
    expect(read).toHaveLength(25);
    read = [];
    ask(day, 60);
    expect(read).toEqual([5 * perChunk + 1, 29 * perChunk + 1]);
  });

  it("are read from the chunks where less than a minute is asked for", () => {
    for (let i = 0; i < 2; i++) expectTheSame(ask(day, 45), directly(day, 45));
    expect(read).toHaveLength(50);
    expect(levels.remembered()).toBe(0);
  });

  it("are remembered of eleven days at most, the newest asked for longest", () => {
    for (let i = 0; i < 24; i++) {
      ask({ from_s: start_s + i * day_s, to_s: start_s + (i + 1) * day_s }, 60);
      expect(levels.remembered()).toBeLessThanOrEqual(16_384);
    }
    read = [];
    ask({ from_s: start_s + 23 * day_s, to_s: start_s + 24 * day_s - 10 }, 60);
    expect(read).toEqual([]);
    ask({ from_s: start_s, to_s: start_s + day_s - 10 }, 60);
    expect(read).toHaveLength(24);
  });
});
