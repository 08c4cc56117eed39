import { describe, expect, it } from "vitest";
import { dischargeBlocked } from "../../../analysis/findings/discharge-blocked.ts";
import type { View } from "../../../analysis/findings/rule.ts";
import { startTime_s } from "../small-basin.ts";
import { cyclesLike, flow, openSince, viewOf } from "./view.ts";

const holds = (change: Partial<View>, open: Parameters<typeof dischargeBlocked.holds>[1] = null) =>
  dischargeBlocked.holds(viewOf(change), open);

/** Half a minute into a run of a pump that has been moving 66 L/min, and by the level moves `share` of it now. */
function running(share: number, change: Partial<View> = {}): Partial<View> {
  return { pumpRunning: true, pumpStateFor_s: 30, dischargeNow_m3s: share * 1.1e-3, ...change };
}

describe("discharge-blocked", () => {
  it("is true when the last runs moved a quarter less than those before", () => {
    expect(holds({ suddenChange: { before: flow(1), now: flow(0.76) } })).toBe(false);
    expect(holds({ suddenChange: { before: flow(1), now: flow(0.7) } })).toBe(true);
  });

  it("is not told from rates too uncertain to differ", () => {
    expect(holds({ suddenChange: { before: flow(1, 0.1), now: flow(0.7, 0.1) } })).toBe(false);
  });

  it("is true in the middle of a run after little inflow that moves less than half of what is usual", () => {
    expect(holds(running(0))).toBe(true);
    expect(holds(running(0.49))).toBe(true);
    expect(holds(running(0.51))).toBe(false);
  });

  it("does not take a storm, a start, a pump seen by the level alone or readings far apart for it", () => {
    expect(holds(running(0, { littleInflow: false }))).toBe(false);
    expect(holds(running(0, { pumpStateFor_s: 10 }))).toBe(false);
    expect(holds(running(0, { pumpStateFor_s: 400 }))).toBe(false);
    expect(holds(running(0, { pumpInferred: true }))).toBe(false);
    expect(holds(running(0, { closelyRead: false }))).toBe(false);
  });

  it("does not take water that rises faster than it came in before for it: that is more inflow", () => {
    expect(holds(running(-0.02))).toBe(true);
    expect(holds(running(-0.04))).toBe(false);
  });

  it("does not take a pump for it that has run out of water, down at its stop level", () => {
    expect(holds(running(0, { level_m: 0.119 }))).toBe(false);
    expect(holds(running(0, { level_m: 0.121 }))).toBe(true);
    expect(holds(running(0, { level_m: 0.119, stopLevel_m: null }))).toBe(true);
  });

  it("stays true while the same run goes on", () => {
    expect(holds(running(0, { pumpStateFor_s: 4000 }), openSince())).toBe(true);
  });

  it("stays open at rest and over a run that is not judged yet, and ends with a run that moves water", () => {
    const open = openSince(startTime_s);
    const blocked = cyclesLike({ startedAt_s: startTime_s + 500, pumpRate: flow(0.2e-3) }, 1);
    const freed = cyclesLike({ startedAt_s: startTime_s + 900, pumpRate: flow(1e-3) }, 1);
    const earlier = cyclesLike({ startedAt_s: startTime_s - 500 }, 1);
    expect(holds({ recentCycles: earlier }, open)).toBeNull();
    expect(holds({ recentCycles: [...blocked, ...earlier] }, open)).toBeNull();
    expect(holds({ recentCycles: [...freed, ...blocked, ...earlier] }, open)).toBe(false);
    const now = { recentCycles: earlier };
    expect(holds(running(1, { ...now, pumpStateFor_s: 10 }), open)).toBeNull();
    expect(holds(running(0.7, now), open)).toBeNull();
    expect(holds(running(0.8, now), open)).toBe(false);
  });

  it("cannot be told without the pump's state, and does not begin at rest", () => {
    expect(holds({ pumpRunning: null })).toBeNull();
    expect(holds({})).toBe(false);
  });
});
