import { describe, expect, it } from "vitest";
import { highWater } from "../../../analysis/findings/high-water.ts";
import { smallSite } from "../small-basin.ts";
import { openSince, viewOf } from "./view.ts";

const noHighLevel = { ...smallSite, basin: { ...smallSite.basin, highLevel_m: null } };

describe("high-water", () => {
  it("is true from the high level on, after ten seconds of it", () => {
    expect(highWater.holds(viewOf({ level_m: 0.449 }), null)).toBe(false);
    expect(highWater.holds(viewOf({ level_m: 0.45 }), null)).toBe(true);
    expect(highWater.onDelay_s).toBe(10);
  });

  it("is true while the high float is lifted, whatever the level says", () => {
    expect(highWater.holds(viewOf({ highFloat: true, level_m: 0.2 }), null)).toBe(true);
    expect(highWater.holds(viewOf({ highFloat: true, level_m: null }), null)).toBe(true);
    expect(highWater.holds(viewOf({ highFloat: false, level_m: 0.5 }), null)).toBe(true);
    expect(highWater.holds(viewOf({ highFloat: false, level_m: null }), null)).toBe(false);
  });

  it("cannot be told without a float and a level, or without a high level", () => {
    expect(highWater.holds(viewOf({ level_m: null }), null)).toBeNull();
    expect(highWater.holds(viewOf({ site: noHighLevel, level_m: 0.5 }), null)).toBeNull();
    expect(highWater.holds(viewOf({ site: noHighLevel, highFloat: true }), null)).toBe(true);
  });

  it("does not begin with a leap whose value is only said again, but for the float", () => {
    expect(highWater.holds(viewOf({ level_m: 0.5, levelOnlySaidAgain: true }), null)).toBeNull();
    expect(highWater.holds(viewOf({ level_m: 0.5, levelOnlySaidAgain: true, highFloat: true }), null)).toBe(true);
    expect(highWater.holds(viewOf({ level_m: 0.5, levelOnlySaidAgain: true }), openSince())).toBe(true);
  });

  it("does not begin where the latest levels toss about, unless the lowest of them is that high", () => {
    expect(highWater.holds(viewOf({ level_m: 0.5, leastLevel_m: 0.3 }), null)).toBe(false);
    expect(highWater.holds(viewOf({ level_m: 0.5, leastLevel_m: 0.46 }), null)).toBe(true);
    expect(highWater.holds(viewOf({ level_m: 0.5, leastLevel_m: 0.3 }), openSince())).toBe(true);
  });

  it("needs three readings of the level, one of the float", () => {
    expect(highWater.onReadings?.(viewOf({ level_m: 0.46 }))).toBe(3);
    expect(highWater.onReadings?.(viewOf({ level_m: 0.46, highFloat: true }))).toBe(1);
  });

  it("stays open until the water is three millimetres under the high level and the float is down, for half a minute", () => {
    const open = openSince();
    expect(highWater.holds(viewOf({ level_m: 0.448 }), open)).toBe(true);
    expect(highWater.holds(viewOf({ level_m: 0.446 }), open)).toBe(false);
    expect(highWater.holds(viewOf({ level_m: 0.2, highFloat: true }), open)).toBe(true);
    expect(highWater.holds(viewOf({ level_m: 0.446, highFloat: false }), open)).toBe(false);
    expect(highWater.offDelay_s).toBe(30);
  });

  it("remembers the highest level, in steps of half a centimetre", () => {
    const evidence = highWater.evidence(viewOf({ level_m: 0.46 }));
    expect(highWater.worsen?.(evidence, viewOf({ level_m: 0.464 }))).toBeNull();
    expect(highWater.worsen?.(evidence, viewOf({ level_m: 0.47 }))).toMatchObject({ highest_level_m: 0.47 });
    expect(highWater.worsen?.(evidence, viewOf({ level_m: null }))).toBeNull();
  });

  it("advises by what the pump does and whether there is a supply", () => {
    expect(highWater.message(viewOf({ mainsOn: false }), {})).toContain("no supply");
    expect(highWater.message(viewOf({ pumpRunning: false, mainsOn: true }), {})).toContain("the pump does not run");
    expect(highWater.message(viewOf({ pumpRunning: true }), {})).toContain("although the pump runs");
  });
});
