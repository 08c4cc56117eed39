import { describe, expect, it } from "vitest";
import { floatStuckOn } from "../../../analysis/findings/float-stuck-on.ts";
import { smallSite } from "../small-basin.ts";
import { openSince, viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) =>
  floatStuckOn.holds(viewOf({ pumpRunning: true, ...change }), null);

describe("float-stuck-on", () => {
  it("is true when the pump runs with the water clearly under the stop level: 5 mm, or three deviations of the level", () => {
    expect(holds({ level_m: 0.0951 })).toBe(false);
    expect(holds({ level_m: 0.0949 })).toBe(true);
    expect(holds({ level_m: 0.0949, levelNoise_m: 0.003 })).toBe(false);
    expect(holds({ level_m: 0.0909, levelNoise_m: 0.003 })).toBe(true);
    expect(holds({ level_m: 0.05, pumpRunning: false })).toBe(false);
  });

  it("is true when the water has stood at the stop level for longer than a storm holds it there: 90 s", () => {
    expect(holds({ level_m: 0.1, atStopFor_s: 89 })).toBe(false);
    expect(holds({ level_m: 0.1, atStopFor_s: 90 })).toBe(true);
    expect(holds({ level_m: 0.1, atStopFor_s: 299, closelyRead: false })).toBe(false);
    expect(holds({ level_m: 0.1, atStopFor_s: 300, closelyRead: false })).toBe(true);
  });

  it("stays open until the pump stops or has a centimetre of water again", () => {
    const open = (change: Parameters<typeof viewOf>[0]) =>
      floatStuckOn.holds(viewOf({ pumpRunning: true, ...change }), openSince());
    expect(open({ level_m: 0.109 })).toBe(true);
    expect(open({ level_m: 0.111 })).toBe(false);
    expect(open({ level_m: 0.05, pumpRunning: false })).toBe(false);
  });

  it("lasts longer than a float takes that is a little late", () => {
    expect(floatStuckOn.onDelay_s).toBe(30);
  });

  it("cannot be told without a level, a stop level or the pump's state, nor by the level alone", () => {
    expect(holds({ level_m: null })).toBeNull();
    expect(holds({ pumpRunning: null, level_m: 0.05 })).toBeNull();
    const site = { ...smallSite, basin: { ...smallSite.basin, stopLevel_m: null } };
    expect(holds({ site, level_m: 0.05 })).toBeNull();
    expect(holds({ pumpInferred: true, level_m: 0.05 })).toBeNull();
  });
});
