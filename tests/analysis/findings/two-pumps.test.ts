import { describe, expect, it } from "vitest";
import { floatStuckOn } from "../../../analysis/findings/float-stuck-on.ts";
import { inflowExceedsPump } from "../../../analysis/findings/inflow-exceeds-pump.ts";
import { shortCycling } from "../../../analysis/findings/short-cycling.ts";
import { newTwoPumps, type TwoPumps } from "../../../analysis/findings/two-pumps.ts";
import { undersized } from "../../../analysis/findings/undersized.ts";
import type { Site } from "../../../analysis/site.ts";
import { inflow_m3s, pumpRate_m3s, smallSite, startTime_s } from "../small-basin.ts";
import { flow, viewOf } from "./view.ts";

const motor = { curve: null, maxStartsPerHour: 20, minRun_s: 8 };
const site: Site = { ...smallSite, pumps: [motor, { ...motor, startLevel_m: 0.4, stopLevel_m: 0.05 }] };
const two = (change: Partial<TwoPumps>): TwoPumps => ({ ...newTwoPumps(), ...change });

describe("rules with two pumps", () => {
  it("count on what is left with one failed, however much both move", () => {
    const peak600 = { inflow_m3s: 8 * inflow_m3s, uInflow_m3s: 1e-6, at_s: startTime_s };
    const pumpRate = flow(2 * pumpRate_m3s);
    const view = viewOf({ site, peak600, pumpRate, pumps: two({ set: 3, firmRate: flow(pumpRate_m3s) }) });
    expect(undersized.holds(view, null)).toBe(true);
    expect(undersized.evidence(view).pump_rate_m3s).toBe(pumpRate_m3s);
    expect(undersized.holds({ ...view, pumps: two({ set: 3, firmRate: null }) }, null)).toBe(null);
    expect(undersized.holds({ ...view, pumps: null }, null)).toBe(false);
  });

  it("leave to the standby what the pump on duty cannot hold, until the water is past where it should have started", () => {
    const rising = { site, pumpRunning: true, littleInflow: false, riseWhileRunning_m: 0.02, pumpStateFor_s: 90 };
    const at = (level_m: number, set: TwoPumps["set"]) => viewOf({ ...rising, level_m, pumps: two({ set }) });
    expect(inflowExceedsPump.holds(at(0.35, 1), null)).toBe(false);
    expect(inflowExceedsPump.holds(at(0.43, 1), null)).toBe(true);
    expect(inflowExceedsPump.holds(at(0.35, 3), null)).toBe(true);
    expect(inflowExceedsPump.message(at(0.45, 3), {})).toMatch(/^Both pumps run/);
    // Of two that take turns the second may be on duty, and the first stand by.
    const second = (takeTurns: boolean) => ({ ...at(0.35, 2), pumps: two({ set: 2, takeTurns }) });
    expect(inflowExceedsPump.holds(second(true), null)).toBe(false);
    expect(inflowExceedsPump.holds(second(false), null)).toBe(true);
  });

  it("count the starts that no reading saw as those of the pump on duty, as long as the other rests", () => {
    const startsByInflow = { starts: 24.6, atLeast: 21.9, emptiesIn_s: 30 };
    const told = (change: Partial<TwoPumps>) => {
      const view = viewOf({ site, startsInLastHour: 11, startsByInflow, pumps: two({ starts: [11, 0], ...change }) });
      const { pump, starts_in_an_hour, starts_at_least } = shortCycling.evidence(view);
      return shortCycling.holds(view, null) === true ? [pump, starts_in_an_hour, starts_at_least] : null;
    };
    expect(told({})).toEqual([1, 25, 21]);
    // Who of them began what no reading saw nobody knows.
    expect(told({ starts: [6, 5] })).toBe(null);
    expect(told({ takeTurns: true })).toBe(null);
    expect(told({ starts: [21, 5] })).toEqual([1, 21, undefined]);
  });

  it("take no pump for stuck that stops lower than the other", () => {
    const down = viewOf({ site, pumpRunning: true, pumps: two({ set: 2 }), level_m: 0.08 });
    expect(floatStuckOn.holds(down, null)).toBe(false);
    expect(floatStuckOn.holds({ ...down, level_m: 0.03 }, null)).toBe(true);
    expect(floatStuckOn.holds({ ...down, stopsAt_m: smallSite.basin.stopLevel_m }, null)).toBe(true);
  });
});
