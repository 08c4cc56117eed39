import { describe, expect, it } from "vitest";
import { inflowExceedsPump } from "../../../analysis/findings/inflow-exceeds-pump.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";
import { openSince, viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) =>
  inflowExceedsPump.holds(viewOf({ pumpRunning: true, level_m: 0.35, ...change }), null);

describe("inflow-exceeds-pump", () => {
  it("is true when the level has risen by more than 6 mm over a minute of a run, four times its noise", () => {
    expect(holds({ riseWhileRunning_m: 0.0059 })).toBe(false);
    expect(holds({ riseWhileRunning_m: 0.0061 })).toBe(true);
    expect(holds({ riseWhileRunning_m: 0.0041, levelNoise_m: 0.0001 })).toBe(true);
  });

  it("is true when a long run has seen as much of a rise in five minutes or more, too slow for one minute to show", () => {
    expect(holds({ riseWhileRunning_m: 0.0036, levelNoise_m: 0.002, riseInLongRun_m: 0.0079 })).toBe(false);
    expect(holds({ riseWhileRunning_m: 0.0036, levelNoise_m: 0.002, riseInLongRun_m: 0.0081 })).toBe(true);
    expect(holds({ riseWhileRunning_m: null, riseInLongRun_m: 0.0081 })).toBe(true);
    expect(holds({ pumpInferred: true, riseInLongRun_m: 0.02 })).toBe(false);
  });

  it("is false of such a rise while the water sinks by as much as tells a rise: a rest went by that no reading showed", () => {
    expect(holds({ riseWhileRunning_m: -0.0061, riseInLongRun_m: 0.1 })).toBe(false);
    expect(holds({ riseWhileRunning_m: -0.0059, riseInLongRun_m: 0.1 })).toBe(true);
  });

  it("takes runs that go by between two readings for no noise, and is not told by how a run begins that is not seen", () => {
    const seldom = { readEvery_s: 30, levelNoise_m: 0.2, riseInLongRun_m: 0.13 };
    expect(holds(seldom)).toBe(true);
    expect(holds({ ...seldom, riseInLongRun_m: 0.11 })).toBe(false);
    const began = { startedLow: true, littleInflow: true, dischargeNow_m3s: 0 };
    expect(holds({ ...seldom, ...began })).toBe(true);
    expect(holds({ ...seldom, ...began, readEvery_s: 1 })).toBe(false);
  });

  it("is false before a minute of the run has been seen, and when the pump rests", () => {
    expect(holds({ riseWhileRunning_m: null })).toBe(false);
    expect(holds({ riseWhileRunning_m: 0.02, pumpRunning: false })).toBe(false);
  });

  it("is false under the stop level, where a pump that runs on draws air and the sensor wanders", () => {
    const stopLevel_m = smallSite.basin.stopLevel_m ?? Number.NaN;
    const rises = { riseWhileRunning_m: 0.02, riseInLongRun_m: 0.02 };
    expect(holds({ ...rises, level_m: stopLevel_m - 0.006, levelNoise_m: 0.001 })).toBe(false);
    expect(holds({ ...rises, level_m: stopLevel_m - 0.004, levelNoise_m: 0.001 })).toBe(true);
  });

  it("cannot be told without the pump's state", () => {
    expect(holds({ pumpRunning: null, riseWhileRunning_m: 0.02 })).toBeNull();
  });

  it("is told by the level alone only well over the start level, after much inflow, whatever the pump seems to do", () => {
    const risen = { pumpInferred: true, riseWhileRunning_m: null, riseOverStart_m: 0.02 };
    expect(holds({ ...risen, littleInflow: false })).toBe(true);
    expect(holds({ ...risen, littleInflow: false, pumpRunning: false })).toBe(true);
    expect(holds({ ...risen, littleInflow: true })).toBe(false);
    expect(holds({ ...risen, littleInflow: false, riseOverStart_m: null, riseWhileRunning_m: 0.02 })).toBe(false);
    expect(holds({ ...risen, littleInflow: false, riseOverStart_m: 0.0059 })).toBe(false);
  });

  it("is told by the level alone as the rise over the start shows it", () => {
    const risen = { pumpInferred: true, riseOverStart_m: 0.02 };
    expect(holds({ ...risen, littleInflow: true, overStart: "runs" })).toBe(true);
    for (const overStart of ["stands", "unsure", "open"] as const)
      expect(holds({ ...risen, littleInflow: false, overStart })).toBe(false);
    expect(holds({ pumpInferred: true, riseOverFloats_m: 0.05, overStart: "stands" })).toBe(false);
  });

  it("is not told by the level alone of two pumps before the water is where the upper float calls the other", () => {
    const pump = smallSite.pump ?? { curve: null, maxStartsPerHour: null, minRun_s: null, name: null };
    const site = { ...smallSite, pumps: [pump, { ...pump, startLevel_m: 0.4 }] as const };
    const risen = { site, pumpInferred: true, littleInflow: false, riseOverStart_m: 0.02, riseOverFloats_m: 0.02 };
    expect(holds({ ...risen, level_m: 0.39 })).toBe(false);
    expect(holds({ ...risen, level_m: 0.43 })).toBe(true);
  });

  it("stays open while the water does not fall, and ends after five minutes in which it does", () => {
    const open = (riseWhileRunning_m: number) =>
      inflowExceedsPump.holds(viewOf({ pumpRunning: true, riseWhileRunning_m }), openSince());
    expect(open(0.0001)).toBe(true);
    expect(open(-0.0001)).toBe(false);
    expect(inflowExceedsPump.offDelay_s).toBe(300);
  });

  it("stays open while the water stands at the rim, where it cannot rise", () => {
    const atRim = viewOf({ pumpRunning: true, riseWhileRunning_m: 0, overRim: true });
    expect(inflowExceedsPump.holds(atRim, openSince())).toBe(true);
    expect(inflowExceedsPump.holds(atRim, null)).toBe(false);
    expect(inflowExceedsPump.holds({ ...atRim, pumpRunning: false }, openSince())).toBe(false);
  });

  it("takes no signal for a run that began far under the start level with the water rising as at rest", () => {
    const halfWay = { startedLow: true, riseWhileRunning_m: 0.06, dischargeNow_m3s: 0 };
    expect(holds(halfWay)).toBe(false);
    expect(holds({ ...halfWay, startedLow: false })).toBe(true);
    // 4 L/min more than came in before, of 66 L/min that the pump moves.
    expect(holds({ ...halfWay, dischargeNow_m3s: -4 / 60_000 })).toBe(true);
  });
  it("keeps what it came to: the highest level and the fastest rise", () => {
    const at = (level_m: number, riseWhileRunning_m: number) =>
      viewOf({ pumpRunning: true, level_m, riseWhileRunning_m });
    const began = inflowExceedsPump.evidence(at(0.35, 0.01));
    expect(began).toMatchObject({ level_m: 0.35, highest_level_m: 0.35, rise_in_a_minute_m: 0.01 });
    expect(inflowExceedsPump.worsen?.(began, at(0.354, 0.03))).toBeNull();
    const worse = inflowExceedsPump.worsen?.(began, at(0.36, 0.03)) ?? began;
    expect(worse).toMatchObject({ level_m: 0.35, highest_level_m: 0.36, rise_in_a_minute_m: 0.03 });
    expect(inflowExceedsPump.worsen?.(worse, at(0.5, 0.02))).toMatchObject({
      ...{ highest_level_m: 0.5, rise_in_a_minute_m: 0.03, rise_in_ten_minutes_m: null },
    });
    expect(inflowExceedsPump.worsen?.(worse, viewOf({ level_m: null }))).toBeNull();
  });

  it("is told within two minutes by a sensor of coarse steps, whose own steps are no leaps", () => {
    const readings: Reading[] = [];
    let [level_m, on, overcome_s] = [0.2, false, Number.NaN];
    for (let t = 0; t < 5.5 * 3600; t += 1) {
      // After five hours 5 mm more than the pump moves comes in each minute.
      const storm = t > 5 * 3600 + 60;
      level_m += ((storm ? 1.1e-3 + (0.005 * area_m2) / 60 : 1e-4) - (on ? 1.1e-3 : 0)) / area_m2;
      if (level_m <= 0.1) on = false;
      else if (level_m >= 0.3 && !on) [on, overcome_s] = [true, t];
      if (t % 5 === 0)
        readings.push(reading(startTime_s + t, { level_m: 0.005 * Math.round(level_m / 0.005), pumpOn: on }));
    }
    const { findings } = analyse(smallSite, readings).summary;
    const from = findings.find(({ kind }) => kind === "inflow-exceeds-pump")?.from ?? "";
    expect(overcome_s).toBeGreaterThan(5 * 3600);
    expect(Date.parse(from) / 1000 - startTime_s - overcome_s).toBeLessThan(120);
  });
});
