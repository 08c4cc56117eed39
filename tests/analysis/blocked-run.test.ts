import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import {
  area_m2,
  courseAt,
  cycle_s,
  inflow_m3s,
  pumpRate_m3s,
  reading,
  rest_s,
  smallSite,
  startTime_s,
} from "./small-basin.ts";

/** Ten cycles, then a run of twenty minutes in which the water rises slowly until the discharge is free again; ten more. */
const before_s = 10 * cycle_s + rest_s;
const blocked_s = 1200;
const rises_ms = 0.00005;
const freed_s = (0.2 + rises_ms * blocked_s) / 0.01;

function levelAndPump(at_s: number) {
  if (at_s < before_s) return courseAt(at_s);
  const run_s = at_s - before_s;
  if (run_s < blocked_s) return { level_m: 0.3 + rises_ms * run_s, pumpOn: true };
  if (run_s < blocked_s + freed_s)
    return { level_m: 0.3 + rises_ms * blocked_s - 0.01 * (run_s - blocked_s), pumpOn: true };
  return courseAt(run_s - blocked_s - freed_s);
}

describe("what a pump has moved that was blocked for long", () => {
  it.each([1, 3])("is what was there and came in less what was left, read each %i s", (interval_s) => {
    const length_s = before_s + blocked_s + freed_s + 10 * cycle_s;
    const readings = Array.from({ length: Math.floor(length_s / interval_s) }, (_, i) =>
      reading(startTime_s + i * interval_s, levelAndPump(i * interval_s)),
    );
    const { summary } = analyse(smallSite, readings);
    const whileBlocked_m3 = inflow_m3s * blocked_s - area_m2 * rises_ms * blocked_s;
    const moved_m3 = whileBlocked_m3 + pumpRate_m3s * (20 * 20 + freed_s);
    expect((summary.totals.pumped_l ?? Number.NaN) / 1000 / moved_m3).toBeCloseTo(1, 1);
  });
});

/**
 * A basin of round figures, whose pump moves such a share of what it did from the tenth run to the nineteenth.
 *
 * @param inflowAt m³/s at a level
 * @returns how many times the truth the mean and the minute's peak are
 */
function heldBack(every_s: number, sound_m3s: number, share: number, inflowAt: (level_m: number) => number) {
  const readings = [];
  let [level_m, on, runs, came_m3, t] = [0.1, false, 0, 0, 0];
  for (; runs < 30; t += 1) {
    if (!on && level_m >= 0.3) runs += 1;
    on = on ? level_m > 0.1 : level_m >= 0.3;
    const pumped_m3s = runs >= 10 && runs < 20 ? share * sound_m3s : sound_m3s;
    came_m3 += inflowAt(level_m);
    level_m += (inflowAt(level_m) - (on ? pumped_m3s : 0)) / area_m2;
    if (t % every_s === 0) readings.push(reading(startTime_s + t, { level_m, pumpOn: on }));
  }
  const { mean_lpm, peak } = analyse(smallSite, readings).summary.inflow;
  const times = (lpm: number | null | undefined, m3s: number) => (lpm ?? Number.NaN) / 60_000 / m3s;
  return { mean: times(mean_lpm, came_m3 / t), minute: times(peak[60]?.lpm, inflowAt(0.1)) };
}

describe("what comes in while a pump runs that has lately lost half of its flow or more, and found it again", () => {
  it.each([1, 10])("is what came in on either side of runs of minutes, read each %i s", (every_s) => {
    const { mean, minute } = heldBack(every_s, 2e-4, 0.5, () => 2e-5);
    expect(mean).toBeCloseTo(1, 1);
    expect(minute).toBeLessThan(1.3);
  });

  it.each([7, 10])(
    "is what came in on either side of brief runs beside the ground's water, read each %i s",
    (every_s) => {
      const { mean, minute } = heldBack(every_s, 1.2e-3, 0.36, (level_m) => 1.2e-4 * (1 - level_m / 0.4));
      expect(mean).toBeCloseTo(1, 1);
      expect(minute).toBeLessThan(1.3);
    },
  );
});

describe("a bucket just before a pump that is held back", () => {
  it("is no inflow that goes on while it runs", () => {
    // 3 L/min come in; the pump moves a tenth of its rate after 15 L that were poured in six seconds before its start.
    const [in_ms, bucket_m] = [0.0005, 0.15];
    const random = seededRandom(1, 7);
    const readings: Reading[] = [];
    let [level_m, on, held, poured, cameIn_m] = [0.1, false, false, false, 0];
    for (let t = 0; t < 5 * 3600; t++) {
      const short_m = 0.3 - bucket_m - level_m;
      const pours = !poured && !on && t > 3 * 3600 && short_m > 0 && short_m < 6 * in_ms;
      const wasOn = on;
      on = on ? level_m > 0.1 : level_m >= 0.3;
      if (on && !wasOn) held = poured;
      readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.002), pumpOn: on }));
      const in_m = in_ms + (pours ? bucket_m : 0);
      poured ||= pours;
      cameIn_m += in_m;
      level_m += in_m - (on ? 0.011 * (held ? 0.1 : 1) : 0);
    }
    const { inflow } = analyse(smallSite, readings).summary;
    expect((inflow.mean_lpm ?? Number.NaN) / ((cameIn_m * area_m2 * 6e4) / readings.length)).toBeCloseTo(1, 1);
  });
});
