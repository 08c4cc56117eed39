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
  /** The float is stuck from then on. */
  readonly stuck?: boolean;
}

/** Two hours of 4 L/min, a pump of 60 L/min, read each second. */
function readings({ cut_s = 0, taken_m = 0, spike_m = 0, stuck = false }: After): Reading[] {
  const random = seededRandom(8);
  const found: Reading[] = [];
  let [level_m, pumpOn, anew_s] = [0.2, false, Number.POSITIVE_INFINITY];
  for (let time_s = 0; time_s < 2 * hour_s; time_s += 1) {
    level_m += (4 - (pumpOn ? 60 : 0)) / 60_000 / area_m2;
    if (anew_s > time_s && time_s > hour_s && !pumpOn && level_m > between_m[0] && level_m < between_m[1])
      anew_s = time_s;
    if (time_s === anew_s + 120) level_m -= taken_m;
    const mainsOn = !(time_s >= anew_s && time_s < anew_s + cut_s);
    if (level_m >= 0.3 && !(stuck && time_s > anew_s)) pumpOn = true;
    if (level_m <= 0.1 || !mainsOn) pumpOn = false;
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
});
