import { describe, expect, it } from "vitest";
import { floatStuckOn } from "../../../analysis/findings/float-stuck-on.ts";
import { smallSite } from "../small-basin.ts";
import { viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) =>
  floatStuckOn.holds(viewOf({ pumpRunning: true, ...change }), false);

describe("float-stuck-on", () => {
  it("is true when the pump runs with the water down at the stop level", () => {
    expect(holds({ level_m: 0.099 })).toBe(true);
    expect(holds({ level_m: 0.1 })).toBe(true);
    expect(holds({ level_m: 0.11 })).toBe(false);
    expect(holds({ level_m: 0.05, pumpRunning: false })).toBe(false);
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
