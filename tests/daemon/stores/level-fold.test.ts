import { describe, expect, it } from "vitest";
import { levelFold, levelReadings } from "../../../daemon/stores/level-fold.ts";

const always = { from_s: Number.NEGATIVE_INFINITY, to_s: Number.POSITIVE_INFINITY };
const columns = (...rows: [number, number][]) =>
  [Float64Array.from(rows, ([time_s]) => time_s), Float64Array.from(rows, ([, level_m]) => level_m)] as const;

describe("levelFold", () => {
  it("gathers single levels and sums into one bucket", () => {
    const fold = levelFold(1000, 60, 1200);
    fold.addLevels(...columns([1130, 0.5]), always); // the third bucket: 1120 to 1180
    fold.add(2, 0.1, 0.3, 0.4, 2);
    expect(fold.series()).toEqual({
      bucket_s: 60,
      time_s: [1120],
      minimum_m: [0.1],
      maximum_m: [0.5],
      mean_m: [0.9 / 3],
    });
  });

  it("gives buckets in order of time, whatever the order of coming, and none where nothing came", () => {
    const fold = levelFold(0, 10, 100);
    fold.addLevels(...columns([95, 95], [5, 5], [42, 42], [7, 8]), always);
    expect(fold.series().time_s).toEqual([0, 40, 90]);
    expect(fold.series().mean_m).toEqual([6.5, 42, 95]);
  });

  it("leaves out what is no level, and what lies outside the span", () => {
    const fold = levelFold(0, 10, 100);
    fold.addLevels(...columns([1, 1], [2, Number.NaN], [3, 3], [4, Number.POSITIVE_INFINITY], [9, 9], [12, 12]), {
      from_s: 2,
      to_s: 9,
    });
    expect(fold.series()).toEqual({ bucket_s: 10, time_s: [0], minimum_m: [3], maximum_m: [9], mean_m: [6] });
  });
});

describe("levelReadings", () => {
  it("puts readings in order of time", () => {
    const { time_s, mean_m, bucket_s } = levelReadings([3, 1, 2], [0.3, 0.1, 0.2]);
    expect({ time_s, mean_m, bucket_s }).toEqual({ time_s: [1, 2, 3], mean_m: [0.1, 0.2, 0.3], bucket_s: 0 });
  });
});
