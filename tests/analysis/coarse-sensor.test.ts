// A level told in whole inches: what one step hides of it no curve brings back.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "./small-basin.ts";

const inch_m = 0.0254;
/** Little under where the sensor goes over from three inches to four: what runs back makes it go there. */
const stop_m = 3.5 * inch_m - 0.002;

/** Slowly up and down by a sixth in a day. */
function inflowAt(t: number): number {
  return (inflow_m3s / 2) * (1 + 0.15 * Math.sin((2 * Math.PI * t) / 86_400));
}

/** The small basin with a float that trips within a few millimetres of the same level, and half a litre that runs back at once. */
function wholeInches(seed: number, hours: number, wider: number): Reading[] {
  const random = seededRandom(seed);
  const surface_m2 = area_m2 * wider;
  const readings: Reading[] = [];
  let [level_m, pumpOn, trip_m] = [0.2, false, 0.3];
  for (let t = 0; t < hours * 3600; t += 1) {
    level_m += (inflowAt(t) - (pumpOn ? 3 * pumpRate_m3s : 0)) / surface_m2;
    if (pumpOn ? level_m <= trip_m : level_m >= trip_m) {
      if (pumpOn) level_m += 0.0005 / surface_m2;
      trip_m = (pumpOn ? 0.3 : stop_m) + random.normal(0.001);
      pumpOn = !pumpOn;
    }
    readings.push(reading(startTime_s + t, { level_m: Math.round(level_m / inch_m) * inch_m, pumpOn }));
  }
  return readings;
}

describe("a level in whole inches", () => {
  const wide = { ...smallSite.basin.geometry, width_m: 0.5 } as typeof smallSite.basin.geometry;
  const site = { ...smallSite, basin: { ...smallSite.basin, geometry: wide, stopLevel_m: stop_m } };

  it.each([1, 2, 3])("says nothing of a valve, of which it shows less than one step (seed %s)", (seed) => {
    const { summary, cycles } = analyse(site, wholeInches(seed, 16, 2));
    expect(summary.findings).toEqual([]);
    for (const { drainBack_m3 } of cycles) expect(drainBack_m3).toBeNull();
  });
});

const coarse_m = 0.005;

describe("a level in steps of 5 mm, with noise of a fiftieth of that", () => {
  it("tells the inflow as well as the moments at which the steps change do, and its uncertainty says so", () => {
    const slow_m3s = inflow_m3s / 4.7;
    const random = seededRandom(4);
    const readings: Reading[] = [];
    let [level_m, pumpOn, trip_m] = [0.12, false, 0.35];
    for (let t = 0; t < 16 * 3600; t += 1) {
      for (let part = 0; part < 10; part += 1) {
        level_m += (0.1 * (slow_m3s - (pumpOn ? pumpRate_m3s : 0))) / area_m2;
        if (pumpOn ? level_m > trip_m : level_m < trip_m) continue;
        pumpOn = !pumpOn;
        trip_m = (pumpOn ? 0.1 : 0.35) + random.normal(0.001);
      }
      readings.push(
        reading(startTime_s + t, {
          level_m: Math.round((level_m + random.normal(1e-4)) / coarse_m) * coarse_m,
          pumpOn,
        }),
      );
    }
    const { cycles } = analyse(smallSite, readings);
    const late = cycles.slice(5).flatMap(({ inflow }) => (inflow === null ? [] : [inflow]));
    const errors = late.map(({ flow_m3s }) => flow_m3s / slow_m3s - 1);
    const us = late.map(({ uFlow_m3s }) => uFlow_m3s / slow_m3s);
    const rms = (values: number[]) => Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
    expect(late.length).toBeGreaterThan(20);
    // Of 49 moments each is known to about half a second: √12·0.5 s/(1200 s·√49) is 0.021 %. All the readings together, each
    // a step wide, leave 0.04 % (measured).
    expect(rms(errors)).toBeLessThan(0.0003);
    expect(rms(errors) / rms(us)).toBeGreaterThan(0.5);
    expect(rms(errors) / rms(us)).toBeLessThan(1.5);
  });
});
