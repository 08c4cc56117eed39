import { describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { levelSumPoint } from "../../../../daemon/stores/influx/level-sum-points.ts";
import { levelSums } from "../../../../daemon/stores/influx/level-sums.ts";
import { asRow } from "./as-row.ts";

const midnight_s = 1_767_571_200;
const levelAt = (time_s: number, level_m: number | null) => ({ ...silentReading, time_s, level_m });

describe("levelSums", () => {
  it("gives ten minutes, and the day so far, when a level falls into the next ten", () => {
    const sums = levelSums();
    expect(sums.add(levelAt(midnight_s + 590, 0.2))).toEqual([]);
    expect(sums.add(levelAt(midnight_s + 599.9, 0.3))).toEqual([]);
    expect(sums.add(levelAt(midnight_s + 600, null))).toEqual([]);
    const two = { levels: 2, minimum_nm: 2e8, maximum_nm: 3e8, sum_nm: 5e8 };
    expect(sums.add(levelAt(midnight_s + 600, 0.4))).toEqual([
      { from_s: midnight_s, length_s: 600, ...two },
      { from_s: midnight_s, length_s: 86_400, ...two },
    ]);
    const one = { levels: 1, minimum_nm: 4e8, maximum_nm: 4e8, sum_nm: 4e8 };
    expect(sums.soFar()).toEqual([
      { from_s: midnight_s + 600, length_s: 600, ...one },
      { from_s: midnight_s, length_s: 86_400, levels: 3, minimum_nm: 2e8, maximum_nm: 4e8, sum_nm: 9e8 },
    ]);
  });

  it("carries on from what it remembered", () => {
    const whole = levelSums();
    const begun = levelSums();
    for (let i = 0; i < 300; i++) {
      whole.add(levelAt(midnight_s + i, 0.2 + i / 1000));
      if (i < 100) begun.add(levelAt(midnight_s + i, 0.2 + i / 1000));
    }
    const resumed = levelSums(JSON.parse(JSON.stringify(begun.state())));
    for (let i = 100; i < 300; i++) resumed.add(levelAt(midnight_s + i, 0.2 + i / 1000));
    expect(resumed.soFar()).toEqual(whole.soFar());
  });

  it("are whole numbers in a point, however large", () => {
    const sum = { from_s: midnight_s, length_s: 600, levels: 7, minimum_nm: -3, maximum_nm: 2e9, sum_nm: 9e15 };
    const { from_s, length_s, ...figures } = sum;
    expect(asRow(levelSumPoint("a", sum))).toEqual({ time: from_s * 1e6, basin: "a", ...figures });
    expect([String(levelSumPoint("a", sum).fields.sum_nm), length_s]).toEqual(["9000000000000000i", 600]);
  });
});
