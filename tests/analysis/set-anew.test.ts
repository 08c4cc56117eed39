// A level sensor that is set anew, 40 mm higher, in the middle of a rest, and what happens soon after: the float closes that
// much higher by it, and is not stuck.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const hour_s = 3600;
const higher_m = 0.04;
/** By when the sensor is set anew in the first rest after an hour. */
const between_m = [0.18, 0.2] as const;

interface After {
  /** The supply is out for so long. */
  readonly cut_s?: number;
  /** So much is taken out with a bucket, two minutes later. */
  readonly taken_m?: number;
  /** One reading lies so far too low, a minute later. */
  readonly spike_m?: number;
  /** The supply is out once more, for 5 s, half a minute after the next start. */
  readonly again?: boolean;
  /** The float is stuck from then on. */
  readonly stuck?: boolean;
}

/** Two hours of 4 L/min, a pump of 60 L/min, read each second. */
function readings({ cut_s = 0, taken_m = 0, spike_m = 0, again = false, stuck = false }: After): Reading[] {
  const random = seededRandom(8);
  const found: Reading[] = [];
  let [level_m, pumpOn, anew_s, started_s] = [0.2, false, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (let time_s = 0; time_s < 2 * hour_s; time_s += 1) {
    level_m += (4 - (pumpOn ? 60 : 0)) / 60_000 / area_m2;
    if (anew_s > time_s && time_s > hour_s && !pumpOn && level_m > between_m[0] && level_m < between_m[1])
      anew_s = time_s;
    if (time_s === anew_s + 120) level_m -= taken_m;
    const cutAgain = again && time_s >= started_s + 30 && time_s < started_s + 35;
    const mainsOn = !(time_s >= anew_s && time_s < anew_s + cut_s) && !cutAgain;
    if (level_m >= 0.3 && !(stuck && time_s > anew_s)) pumpOn = true;
    if (level_m <= 0.1 || !mainsOn) pumpOn = false;
    if (pumpOn && time_s > anew_s) started_s = Math.min(started_s, time_s);
    const off_m = (time_s >= anew_s ? higher_m : 0) - (time_s === anew_s + 60 ? spike_m : 0);
    found.push(reading(startTime_s + time_s, { level_m: level_m + off_m + random.normal(0.0015), pumpOn, mainsOn }));
  }
  return found;
}

const stuckOff = (after: After) =>
  analyse(smallSite, readings(after)).summary.findings.filter(({ kind }) => kind === "float-stuck-off");

describe("a level sensor set anew in the middle of a rest", () => {
  it.each<[string, After]>([
    ["a power cut, after which the pump has been waited for", { cut_s: 300 }],
    ["a bucket taken out", { taken_m: 0.028 }],
    ["a reading that is far too low", { spike_m: 0.06 }],
  ])("makes no float hang beside %s", (_, after) => {
    expect(stuckOff(after)).toEqual([]);
  });

  it("hides no float that does", () => {
    expect(stuckOff({ taken_m: 0.028, stuck: true })).toHaveLength(1);
  });

  it("makes no float hang where the supply goes once more after the first start", () => {
    expect(stuckOff({ cut_s: 300, again: true })).toEqual([]);
  });
});

describe("a float that is stuck under splashes, which are down again by and by", () => {
  it.each([0, 0.055])("is told as soon as without them: %f m", (splash_m) => {
    const random = seededRandom(1);
    const found: Reading[] = [];
    let [level_m, pumpOn, stuck_s] = [0.1, false, Number.POSITIVE_INFINITY];
    for (let time_s = 0; time_s < 4 * hour_s; time_s += 1) {
      level_m += (2 - (pumpOn ? 60 : 0)) / 60_000 / area_m2;
      if (level_m >= 0.3 && time_s < hour_s) pumpOn = true;
      if (level_m >= 0.3 && time_s > hour_s) stuck_s = Math.min(stuck_s, time_s);
      if (level_m <= 0.1) pumpOn = false;
      const off_m = [splash_m, splash_m / 2][time_s % 300] ?? 0;
      found.push(reading(startTime_s + time_s, { level_m: level_m + off_m + random.normal(0.0015), pumpOn }));
    }
    const told = analyse(smallSite, found).summary.findings.find(({ kind }) => kind === "float-stuck-off");
    expect(Date.parse(told?.from ?? "") / 1000 - startTime_s - stuck_s).toBeLessThan(200);
  });
});

describe("a level sensor that is lifted for a minute, or hung lower", () => {
  it.each([
    ["lifted", 60],
    ["hung lower", Number.POSITIVE_INFINITY],
  ])("is no pump that nothing watches: %s", (_, for_s) => {
    const random = seededRandom(4);
    const found: Reading[] = [];
    let [level_m, pumpOn, from_s] = [0.1, false, Number.POSITIVE_INFINITY];
    for (let time_s = 0; time_s < 5 * hour_s; time_s += 1) {
      level_m += (3 - (pumpOn ? 60 : 0)) / 60_000 / area_m2;
      if (level_m >= 0.3) pumpOn = true;
      if (level_m <= 0.1) pumpOn = false;
      if (time_s > 3 * hour_s && !pumpOn && level_m > 0.28) from_s = Math.min(from_s, time_s);
      const off_m = time_s >= from_s && time_s < from_s + for_s ? -0.13 : 0;
      found.push(reading(startTime_s + time_s, { level_m: level_m + off_m + random.normal(0.001), pumpOn }));
    }
    expect(analyse(smallSite, found).summary.totals.unwatched_runs).toBeUndefined();
  });
});
