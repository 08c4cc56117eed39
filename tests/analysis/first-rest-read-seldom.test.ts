import { describe, expect, it } from "vitest";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

/** A trickle that fills the basin in 20 min, read each minute, and a run of 20 s. */
const [rise_ms, fill_s, run_s, interval_s] = [0.2 / 1200, 1200, 20, 60];
/** Out of step with the readings. */
const cycle_s = fill_s + run_s + 17;

function readings(hours: number) {
  return Array.from({ length: hours * 60 }, (_, i) => {
    const at_s = (i * interval_s) % cycle_s;
    const level_m = at_s < fill_s ? 0.1 + rise_ms * at_s : Math.max(0.1, 0.3 - 0.01 * (at_s - fill_s));
    return reading(startTime_s + i * interval_s, {
      level_m: level_m + 0.0005 * Math.sin(7 * i),
      pumpOn: at_s >= fill_s && at_s < fill_s + run_s,
    });
  });
}

describe("the first rest of a recording that is read seldom", () => {
  it("is one, from its first readings on, though some of them have gone by before it is known how far apart they are", () => {
    const { said } = analyse(smallSite, readings(6));
    const first = said.inflow.filter(({ from_s }) => from_s < startTime_s + fill_s - 2 * interval_s);
    expect(first[0]?.from_s).toBeLessThanOrEqual(startTime_s + 2 * interval_s);
    for (const [i, { from_s, inflow_m3s }] of first.entries()) {
      expect(from_s).toBeCloseTo(first[i - 1]?.to_s ?? from_s, 3);
      expect(inflow_m3s / (rise_ms * area_m2)).toBeCloseTo(1, 2);
    }
    expect(first.at(-1)?.to_s).toBeGreaterThan(startTime_s + fill_s - 2 * interval_s);
  });

  it("is looked at anew: a run that its contact missed among them is found by the level", () => {
    const later = readings(6)
      .slice(16)
      .map((one) => ({ ...one, pumpOn: false }));
    const { cycles } = analyse(smallSite, later);
    expect(cycles[0]?.startedAt_s).toBeGreaterThan(startTime_s + fill_s - interval_s);
    expect(cycles[0]?.startedAt_s).toBeLessThan(startTime_s + fill_s + interval_s);
  });
});
