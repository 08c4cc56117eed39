import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { randomOf } from "../../truth/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const pump_m3s = 1e-3;
const inflow_m3s = 1e-4;

type Span = readonly [number, number];

/** Eight hours each second by the contact alone; at times the float opens and closes for so long as the water comes up to it. */
function chatteringFloat([chatterFrom_s, chatterTo_s]: Span, [least_s, most_s]: Span = [1, 4]): Reading[] {
  const random = randomOf("a float that chatters, without a level");
  const readings: Reading[] = [];
  let [level_m, called, broken, next_s] = [0.2, false, false, 0];
  for (let t = 0; t < 8 * 3600; t += 1) {
    if (level_m >= 0.3) called = true;
    else if (level_m <= 0.1) called = false;
    const chatters = called && t >= chatterFrom_s && t < chatterTo_s && level_m > 0.22;
    if (t >= next_s) [broken, next_s] = [!broken, t + random.between(least_s, most_s)];
    const on = called && !(chatters && broken);
    level_m += (inflow_m3s - (on ? pump_m3s : 0)) / area_m2;
    readings.push(reading(startTime_s + t, { pumpOn: on }));
  }
  return readings;
}

const hours = (from: number, to: number): Span => [from * 3600, to * 3600];

describe.each([
  ["for an hour", hours(4, 5), undefined],
  ["in the first hour", hours(0, 1), undefined],
  ["all the time", hours(0, 8), undefined],
  ["slowly and all the time", hours(0, 8), [3, 10]],
] as const)("a float that chatters %s, by the pump's contact alone", (_, when_s, each_s) => {
  const { summary } = analyse(smallSite, chatteringFloat(when_s, each_s));

  it("fills the basin no faster for that", () => {
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 6 - 1)).toBeLessThan(0.1);
    for (const window of ["60", "600", "3600"] as const) expect(summary.inflow.peak[window]?.lpm).toBeLessThan(1.2 * 6);
  });

  it("pumps out what has come in, and is no pump too small for that", () => {
    expect(Math.abs((summary.totals.pumped_l ?? 0) / (8 * 60 * 6) - 1)).toBeLessThan(0.1);
    expect(summary.findings.map(({ kind }) => kind)).toEqual(["short-cycling"]);
  });
});

it.each([hours(4, 5), hours(0, 1)])(
  "is the cause, and stays it though its starts count for an hour yet",
  (...when_s) => {
    const { summary } = analyse(smallSite, chatteringFloat(when_s));
    expect(summary.findings.map(({ evidence }) => evidence.cause)).toEqual(["float-chatter"]);
  },
);
