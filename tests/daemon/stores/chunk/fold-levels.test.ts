import { describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { decodeLevels, encodeChunk } from "../../../../daemon/stores/chunk/chunk.ts";
import { foldLevels } from "../../../../daemon/stores/chunk/fold-levels.ts";
import { levelFold } from "../../../../daemon/stores/level-fold.ts";
import type { LevelSeries, Span } from "../../../../daemon/stores/store.ts";
import * as fc from "../../../at-random.ts";

const start_s = 1_767_614_400;
const everything: Span = { from_s: start_s - 1e6, to_s: start_s + 1e6 };
const lengths_s = [1, 7, 60, 0.25, 3600];

/** Both ways: straight from the steps, and reading by reading. */
function bothWays(levels: readonly (readonly [number, number | null])[], span: Span, bucket_s: number) {
  const bytes = encodeChunk(levels.map(([time_s, level_m]) => ({ ...silentReading, time_s, level_m })));
  const fold = () => levelFold(Math.floor(span.from_s / bucket_s) * bucket_s, bucket_s, span.to_s);
  const [straight, each] = [fold(), fold()];
  foldLevels(bytes, straight, span);
  const { time_s, level_m } = decodeLevels(bytes);
  if (level_m !== null) each.addLevels(time_s, level_m, span);
  return { straight: straight.series(), each: each.series(), counts: [straight.levels(), each.levels()] };
}

function expectTheSame(levels: readonly (readonly [number, number | null])[], span: Span, bucket_s: number): void {
  const { straight, each, counts } = bothWays(levels, span, bucket_s);
  const exact = ({ mean_m: _, ...rest }: LevelSeries) => rest;
  expect(exact(straight)).toStrictEqual(exact(each));
  expect(counts[0]).toBe(counts[1]);
  for (const [i, mean_m] of straight.mean_m.entries()) expect(mean_m).toBeCloseTo(each.mean_m[i] ?? Number.NaN, 9);
}

const millimetres = fc.integer({ min: 0, max: 9000 }).map((tenths) => tenths / 10 / 1000);
const inches = fc.integer({ min: 0, max: 6000 }).map((hundredths) => ((hundredths / 100) * 254) / 10_000);
const offGrid = fc.double({ min: 0, max: 2, noNaN: true });
const sensor = fc.constantFrom(millimetres, inches, offGrid, fc.oneof(millimetres, fc.constant(null)));
const span = fc
  .tuple(fc.integer({ min: -5, max: 250 }), fc.double({ min: 0, max: 250, noNaN: true }))
  .map(([from, long]) => ({ from_s: start_s + from, to_s: start_s + from + long }));

describe("a chunk's levels straight into buckets", () => {
  it.each([0.25, 1, 5])("are those of reading by reading where one comes every %d s", (pace_s) => {
    const levels = sensor.chain((level) => fc.array(level, { minLength: 1, maxLength: 200 }));
    const ask = fc.property(levels, span, fc.constantFrom(...lengths_s), (values, within, bucket_s) =>
      expectTheSame(
        values.map((level_m, i) => [start_s + i * pace_s, level_m] as const),
        within,
        bucket_s,
      ),
    );
    fc.assert(ask, { numRuns: 100 });
  });

  it("are those of reading by reading at any times, also where a clock steps back", () => {
    const time = fc.integer({ min: 0, max: 240_000 }).map((ms) => start_s + ms / 1000);
    const levels = sensor.chain((level) => fc.array(fc.tuple(time, level), { minLength: 1, maxLength: 100 }));
    fc.assert(
      fc.property(levels, span, fc.constantFrom(...lengths_s), (some, within, bucket_s) =>
        expectTheSame(some, within, bucket_s),
      ),
      { numRuns: 150 },
    );
  });

  it("are none where the level was never read", () => {
    expect(bothWays([[start_s, null]], everything, 60).straight.time_s).toEqual([]);
  });

  it("leave out what is no level", () => {
    const some = [Number.POSITIVE_INFINITY, 0.25, null].map((level_m, i) => [start_s + i, level_m] as const);
    expect(bothWays(some, everything, 60).straight.mean_m).toEqual([0.25]);
  });

  it("take the last reading of the span, and none after", () => {
    const even = Array.from({ length: 100 }, (_, i) => [start_s + i, i / 1000] as const);
    const { straight } = bothWays(even, { from_s: start_s + 10, to_s: start_s + 20 }, 60);
    expect([straight.minimum_m, straight.maximum_m]).toEqual([[0.01], [0.02]]);
  });

  it("are refused where the bytes are damaged", () => {
    const bytes = encodeChunk([{ ...silentReading, time_s: start_s, level_m: 0.2 }]);
    expect(() => foldLevels(bytes.subarray(0, 8), levelFold(0, 60, 60), everything)).toThrow("it is damaged");
  });
});
