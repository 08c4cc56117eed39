import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const hour_s = 3600;

interface House {
  readonly every_s: number;
  readonly hours: number;
  readonly in_lpm: number;
  /** What runs back after each stop of the watched pump. */
  readonly back_m3?: number;
  /** Whether the pump that nothing watches takes the `n`th run. */
  readonly unwatched?: (n: number) => boolean;
  /** What the sensor makes of a level. */
  readonly says: (level_m: number, time_s: number) => number;
}

/** A basin that either pump of 60 L/min empties from 0.3 to 0.1 m. */
function play({ every_s, hours, in_lpm, back_m3 = 0, unwatched = () => false, says }: House) {
  const readings = [];
  let [level_m, on, other, runs, out_m3] = [0.1, false, false, 0, 0];
  for (let t = 0; t < hours * hour_s; t += 0.5) {
    const back = on ? 0 : out_m3 * (1 - Math.exp(-0.5 / 40));
    out_m3 -= back;
    level_m += (0.5 * (in_lpm - (on || other ? 60 : 0))) / 60_000 / area_m2 + back / area_m2;
    if (level_m >= 0.3 && !on && !other) {
      other = unwatched(runs);
      on = !other;
      runs += 1;
    }
    if (level_m <= 0.1) {
      if (on) out_m3 = back_m3;
      on = false;
      other = false;
    }
    if (t % every_s === 0) readings.push(reading(startTime_s + t, { level_m: says(level_m, t), pumpOn: on }));
  }
  return analyse(smallSite, readings).summary.inflow;
}

describe("a rest whose level falls within it", () => {
  it("is no two fills where a sensor says its value again for half a minute, and shows the run late", () => {
    let [said_m, at_s] = [0, Number.NEGATIVE_INFINITY];
    const says = (level_m: number, time_s: number) => {
      if (time_s - at_s >= 30) [said_m, at_s] = [level_m, time_s];
      return said_m;
    };
    expect(play({ every_s: 1, hours: 12, in_lpm: 1, says }).mean_lpm).toBeCloseTo(1, 1);
  });

  it("is no two fills where foam stands on the water for a while", () => {
    const random = seededRandom(5);
    let [foam_m, until_s] = [0, 0];
    const says = (level_m: number, time_s: number) => {
      if (time_s >= until_s) {
        foam_m = random.uniform() < 0.1 ? 0.15 * random.uniform() : 0;
        until_s = time_s + 20;
      }
      return level_m + foam_m + random.normal(0.001);
    };
    const { mean_lpm } = play({ every_s: 1, hours: 24, in_lpm: 2, says });
    expect(Math.abs((mean_lpm ?? 0) / 2 - 1)).toBeLessThan(0.15);
  });

  it("has what runs back after a seen stop left out of the first of its fills", () => {
    const random = seededRandom(5);
    const { mean_lpm, peak } = play({
      every_s: 5,
      hours: 36,
      in_lpm: 3,
      back_m3: 3e-3,
      unwatched: (n) => n > 100 && n % 3 !== 0,
      says: (level_m) => level_m + random.normal(0.001),
    });
    expect((mean_lpm ?? 0) / 3).toBeCloseTo(1, 2);
    expect(peak["60"]?.lpm).toBeLessThan(3.3);
  });
});

describe("a sensor of coarse steps", () => {
  it.each([
    ["of 20 mm", (level_m: number) => 0.02 * Math.round(level_m / 0.02)],
    ["of 12.5 mm", (level_m: number) => 0.0125 * Math.round(level_m / 0.0125)],
  ])("%s tells of steady inflow, not of water that pours in at each", (_, says) => {
    const { mean_lpm, peak } = play({ every_s: 1, hours: 24, in_lpm: 1, says });
    expect(mean_lpm ?? 0).toBeCloseTo(1, 1);
    expect(peak["60"]?.lpm).toBeLessThan(1.2);
  });
});
