import { describe, expect, it } from "vitest";
import { floatStuckOff } from "../../../analysis/findings/float-stuck-off.ts";
import { smallSite, startTime_s } from "../small-basin.ts";
import { cyclesLike, openSince, viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) => floatStuckOff.holds(viewOf(change), null);

describe("float-stuck-off", () => {
  it("is true when the water stands more than 15 mm above the start level and the pump rests", () => {
    expect(holds({ level_m: 0.314 })).toBe(false);
    expect(holds({ level_m: 0.316 })).toBe(true);
    expect(floatStuckOff.onDelay_s).toBeGreaterThanOrEqual(10);
  });

  it("asks for more of a noisy sensor: four deviations", () => {
    expect(holds({ level_m: 0.33, levelNoise_m: 0.01 })).toBe(false);
    expect(holds({ level_m: 0.341, levelNoise_m: 0.01 })).toBe(true);
  });

  it("asks it of the lowest of the latest levels where they toss about", () => {
    expect(holds({ level_m: 0.4, leastLevel_m: 0.25 })).toBe(false);
    expect(holds({ level_m: 0.4, leastLevel_m: 0.32 })).toBe(true);
    expect(floatStuckOff.holds(viewOf({ level_m: 0.4, leastLevel_m: 0.25 }), openSince())).toBe(true);
  });

  it("is false while the pump runs, and without a supply, when no float is to blame", () => {
    expect(holds({ level_m: 0.4, pumpRunning: true })).toBe(false);
    expect(holds({ level_m: 0.4, mainsOn: false })).toBe(false);
    expect(holds({ level_m: 0.4, mainsOn: true })).toBe(true);
  });

  it("stays open while others lower the water, until a pump that a signal tells of has run", () => {
    const from_s = startTime_s + 600;
    const rests = (after_s: number, pumpStateFor_s: number) =>
      viewOf({ level_m: 0.2, time_s: from_s + after_s, pumpStateFor_s });
    expect(floatStuckOff.holds(rests(7200, 7500), openSince(from_s))).toBeNull();
    expect(floatStuckOff.holds(rests(7200, 300), openSince(from_s))).toBe(false);
  });

  it("is said again after a day at the most: a sensor lifted out for a moment may have told of it", () => {
    const from_s = startTime_s + 600;
    const dry = viewOf({ level_m: 0.2, time_s: from_s + 86_400, pumpStateFor_s: 90_000 });
    expect(floatStuckOff.holds(dry, openSince(from_s))).toBe(false);
  });

  it("stays open until the pump runs or the water is back under the start level, for a minute", () => {
    expect(floatStuckOff.holds(viewOf({ level_m: 0.301 }), openSince())).toBe(true);
    expect(floatStuckOff.holds(viewOf({ level_m: 0.299, pumpInferred: true, littleInflow: true }), openSince())).toBe(
      false,
    );
    expect(floatStuckOff.holds(viewOf({ level_m: 0.4, pumpRunning: true }), openSince())).toBe(false);
    expect(floatStuckOff.offDelay_s).toBe(60);
  });

  it("is measured from where the pump has been starting, when the sensor reads too high", () => {
    const starts = (...levels_m: number[]) => levels_m.flatMap((startLevel_m) => cyclesLike({ startLevel_m }, 1));
    // 30 mm too high: known from one start on.
    expect(holds({ level_m: 0.344, recentCycles: starts(0.33, 0.3, 0.3) })).toBe(false);
    expect(holds({ level_m: 0.346, recentCycles: starts(0.33, 0.3, 0.3) })).toBe(true);
    // A start at 0.42 m may be of a float that hung once; two such starts are not.
    expect(holds({ level_m: 0.34, recentCycles: starts(0.42, 0.3, 0.3) })).toBe(true);
    expect(holds({ level_m: 0.43, recentCycles: starts(0.42, 0.42, 0.3) })).toBe(false);
    // And no higher than high water, 0.45 m.
    expect(holds({ level_m: 0.466, recentCycles: starts(0.5, 0.5, 0.5) })).toBe(true);
    // A pump that starts lower than the site says is held to the site's level.
    expect(holds({ level_m: 0.31, recentCycles: starts(0.2, 0.2, 0.2) })).toBe(false);
  });

  it("asks for more before a start has been seen: the site file may be off", () => {
    expect(holds({ level_m: 0.399, recentCycles: [] })).toBe(false);
    expect(holds({ level_m: 0.401, recentCycles: [] })).toBe(true);
    const { basin } = smallSite;
    const highAt = (highLevel_m: number) => ({ ...smallSite, basin: { ...basin, highLevel_m } });
    // Up to high water, where that is less, but no less than 60 mm.
    expect(holds({ level_m: 0.379, recentCycles: [], site: highAt(0.38) })).toBe(false);
    expect(holds({ level_m: 0.381, recentCycles: [], site: highAt(0.38) })).toBe(true);
    expect(holds({ level_m: 0.359, recentCycles: [], site: highAt(0.33) })).toBe(false);
    expect(holds({ level_m: 0.361, recentCycles: [], site: highAt(0.33) })).toBe(true);
  });

  it("goes by the only start that was seen, however far over the site's level: that may be given too low", () => {
    const [once] = cyclesLike({ startLevel_m: 0.38 }, 1);
    if (once === undefined) throw new Error("no cycle");
    expect(holds({ level_m: 0.39, recentCycles: [once] })).toBe(false);
    expect(holds({ level_m: 0.396, recentCycles: [once] })).toBe(true);
  });

  it("allows for a leap of the level since the last run, but for no more than a zero may be off", () => {
    expect(holds({ level_m: 0.344, leapSinceStart_m: 0.03 })).toBe(false);
    expect(holds({ level_m: 0.346, leapSinceStart_m: 0.03 })).toBe(true);
    expect(holds({ level_m: 0.344, leapSinceStart_m: 0.07 })).toBe(true);
  });

  it("cannot be told from a leap whose value is only said again", () => {
    expect(holds({ level_m: 0.4, levelOnlySaidAgain: true })).toBeNull();
    expect(floatStuckOff.holds(viewOf({ level_m: 0.4, levelOnlySaidAgain: true }), openSince())).toBe(true);
  });

  it("is told by the high float where there is no level", () => {
    expect(holds({ level_m: null, highFloat: true })).toBe(true);
    expect(holds({ level_m: null, highFloat: false })).toBe(false);
  });

  it("cannot be told without the pump's state, nor by the level alone when much comes in", () => {
    expect(holds({ level_m: 0.4, pumpRunning: null })).toBeNull();
    expect(holds({ level_m: null })).toBeNull();
    expect(holds({ level_m: 0.4, pumpInferred: true, littleInflow: false })).toBeNull();
    expect(holds({ level_m: 0.4, pumpInferred: true, littleInflow: true })).toBe(true);
  });

  it("is told by the level alone as the rise over the start shows it, and by little inflow where that cannot show", () => {
    const alone = { level_m: 0.4, pumpInferred: true, littleInflow: false };
    expect(holds({ ...alone, overStart: "stands" })).toBe(true);
    const little = { ...alone, littleInflow: true };
    for (const overStart of ["runs", "unsure", "open"] as const) expect(holds({ ...little, overStart })).toBeNull();
    expect(holds({ ...little, overStart: "open", overRim: true })).toBe(true);
  });
});
