// A level sensor set anew in mid-rest by little more than its noise: no rest by itself tells that from water. Basins and what
// really came in by our own arithmetic: 2 L/min into a basin of known area.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

const flow_lpm = 2;
const cycles = 30;

interface Anew {
  readonly by_m: number;
  readonly each_s: number;
  readonly noise_m: number;
  /** The level at which it happens, in the tenth rest or so. */
  readonly at_m?: number;
  /** A bucket of as much, in place of it. */
  readonly bucket?: boolean;
}

function readings({ by_m, each_s, noise_m, at_m = 0.16, bucket = false }: Anew): Reading[] {
  const random = seededRandom(3);
  const found: Reading[] = [];
  let [level_m, pumpOn, starts, anew] = [0.1, false, 0, false];
  for (let time_s = 0; starts < cycles; time_s += 1) {
    level_m += (flow_lpm - (pumpOn ? 60 : 0)) / 60_000 / area_m2;
    if (level_m >= 0.3 && !pumpOn) {
      pumpOn = true;
      starts += 1;
    }
    if (level_m <= 0.1) pumpOn = false;
    if (!anew && starts === 10 && !pumpOn && level_m > at_m) {
      anew = true;
      if (bucket) level_m += by_m;
    }
    const off_m = anew && !bucket ? by_m : 0;
    if (time_s % each_s === 0)
      found.push(reading(startTime_s + time_s, { level_m: level_m + off_m + random.normal(noise_m), pumpOn }));
  }
  return found;
}

const peak_lpm = (anew: Anew) => analyse(smallSite, readings(anew)).summary.inflow.peak["60"]?.lpm ?? Number.NaN;

describe("a level sensor set anew", () => {
  it.each<[string, Anew]>([
    ["higher, among noise each second", { by_m: 0.02, each_s: 1, noise_m: 0.0047 }],
    ["lower, each 5 s: the float closes lower by it", { by_m: -0.018, each_s: 5, noise_m: 0.001 }],
  ])("has let nothing in, as the next half-dozen of cycles tell: %s", (_, anew) => {
    expect(peak_lpm(anew)).toBeGreaterThan(0.95 * flow_lpm);
    expect(peak_lpm(anew)).toBeLessThan(1.2 * flow_lpm);
  });

  it("is told from a bucket of as much, which leaves the trips where they were", () => {
    const bucket_lpm = flow_lpm + 0.02 * area_m2 * 1000;
    const found_lpm = peak_lpm({ by_m: 0.02, each_s: 1, noise_m: 0.002, bucket: true });
    expect(Math.abs(found_lpm / bucket_lpm - 1)).toBeLessThan(0.15);
  });
});
