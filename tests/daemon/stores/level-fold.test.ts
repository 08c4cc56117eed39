import { describe, expect, it } from "vitest";
import { levelFold, levelReadings } from "../../../daemon/stores/level-fold.ts";

describe("levelFold", () => {
  it("gathers single levels and sums into one bucket", () => {
    const fold = levelFold(1000, 60);
    fold.addLevel(1130, 0.5); // the third bucket: 1120 to 1180
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
    const fold = levelFold(0, 10);
    for (const time_s of [95, 5, 42]) fold.addLevel(time_s, time_s);
    expect(fold.series().time_s).toEqual([0, 40, 90]);
    expect(fold.series().mean_m).toEqual([5, 42, 95]);
  });
});

describe("levelReadings", () => {
  it("puts readings in order of time", () => {
    const { time_s, mean_m, bucket_s } = levelReadings([3, 1, 2], [0.3, 0.1, 0.2]);
    expect({ time_s, mean_m, bucket_s }).toEqual({ time_s: [1, 2, 3], mean_m: [0.1, 0.2, 0.3], bucket_s: 0 });
  });
});
