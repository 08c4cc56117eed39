import { describe, expect, it } from "vitest";
import { linesMeet } from "../../../../analysis/cycles/by-level/lines-meet.ts";
import { letWait, nothingWaits } from "../../../../analysis/cycles/waiting-samples.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

/** Read each `interval_s` from 1000 s on: rises by 1.2 mm/s until `turns_s`, then falls by 1.6 mm/s. */
function turning(turns_s: number, interval_s: number, count: number, read: (level_m: number, i: number) => number) {
  const waiting = nothingWaits();
  for (let i = 0; i < count; i += 1) {
    const time_s = 1000 + i * interval_s;
    const level_m = time_s < turns_s ? 0.3 - 0.0012 * (turns_s - time_s) : 0.3 - 0.0016 * (time_s - turns_s);
    letWait(waiting, time_s, read(level_m, i), level_m);
  }
  return waiting;
}

describe("linesMeet", () => {
  it("finds where the level turns between two samples", () => {
    const meet = linesMeet(
      turning(1042.5, 5, 20, (level_m) => level_m),
      8,
      0.01,
      -1,
    );
    expect(meet?.at_s).toBeCloseTo(1042.5, 1);
    expect(meet?.before).toBe(9);
    expect(meet?.unsure).toBe(0);
  });

  it("says which samples noise lets lie on either side", () => {
    const off_s: number[] = [];
    const unsure: number[] = [];
    for (let seed = 0; seed < 100; seed += 1) {
      const random = seededRandom(seed);
      const meet = linesMeet(
        turning(1050.3, 1, 100, (level_m) => level_m + random.normal(0.006)),
        50,
        0.1,
        -1,
      );
      if (meet === null) throw new Error("no turn found");
      off_s.push(meet.at_s - 1050.3);
      unsure.push(meet.unsure);
      expect(999 + meet.before).toBeLessThanOrEqual(meet.at_s);
      expect(1000 + meet.before + meet.unsure).toBeGreaterThan(meet.at_s);
    }
    const deviation_s = Math.hypot(...off_s) / Math.sqrt(off_s.length);
    // On the average one standard deviation to either side.
    const mean = unsure.reduce((sum, count) => sum + count, 0) / unsure.length;
    expect(mean / 2 / deviation_s).toBeGreaterThan(0.7);
    expect(mean / 2 / deviation_s).toBeLessThan(1.3);
  });

  it("takes the level freed of noise for a spike", () => {
    const spiky = turning(1050.5, 1, 100, (level_m, i) => level_m + (i % 7 === 0 ? 0.08 : 0));
    expect(linesMeet(spiky, 50, 0.02, -1)?.at_s).toBeCloseTo(1050.5, 0);
  });

  it("finds none where the level turns the other way, or too few wait", () => {
    expect(
      linesMeet(
        turning(1050.5, 1, 100, (level_m) => level_m),
        50,
        0.01,
        1,
      ),
    ).toBeNull();
    expect(
      linesMeet(
        turning(1001.5, 1, 3, (level_m) => level_m),
        1,
        0.01,
        -1,
      ),
    ).toBeNull();
  });
});
