import { describe, expect, it } from "vitest";
import { inflowExceedsPump } from "../../../analysis/findings/inflow-exceeds-pump.ts";
import { smallSite } from "../small-basin.ts";
import { viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) =>
  inflowExceedsPump.holds(viewOf({ pumpRunning: true, level_m: 0.35, ...change }), null);

describe("inflow-exceeds-pump", () => {
  it("is true when the level has risen by more than 6 mm over a minute of a run, four times its noise", () => {
    expect(holds({ riseWhileRunning_m: 0.0059 })).toBe(false);
    expect(holds({ riseWhileRunning_m: 0.0061 })).toBe(true);
    expect(holds({ riseWhileRunning_m: 0.0041, levelNoise_m: 0.0001 })).toBe(true);
  });

  it("is false before a minute of the run has been seen, and when the pump rests", () => {
    expect(holds({ riseWhileRunning_m: null })).toBe(false);
    expect(holds({ riseWhileRunning_m: 0.02, pumpRunning: false })).toBe(false);
  });

  it("cannot be told without the pump's state", () => {
    expect(holds({ pumpRunning: null, riseWhileRunning_m: 0.02 })).toBeNull();
  });

  it("is told by the level alone only above the start level, where a healthy pump would not have stopped", () => {
    expect(holds({ pumpInferred: true, riseWhileRunning_m: 0.02, level_m: 0.29 })).toBe(false);
    expect(holds({ pumpInferred: true, riseWhileRunning_m: 0.02, level_m: 0.31 })).toBe(true);
    const site = { ...smallSite, basin: { ...smallSite.basin, startLevel_m: null } };
    expect(holds({ pumpInferred: true, riseWhileRunning_m: 0.02, site })).toBe(false);
  });
});
