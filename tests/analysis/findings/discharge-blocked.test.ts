import { describe, expect, it } from "vitest";
import { dischargeBlocked } from "../../../analysis/findings/discharge-blocked.ts";
import { flow, viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0], open = false) => dischargeBlocked.holds(viewOf(change), open);
const running = { pumpRunning: true, pumpStateFor_s: 30, levelRate_ms: -0.01 };

describe("discharge-blocked", () => {
  it("is true when the last runs moved a quarter less than those before", () => {
    expect(holds({ suddenChange: { before: flow(1), now: flow(0.76) } })).toBe(false);
    expect(holds({ suddenChange: { before: flow(1), now: flow(0.7) } })).toBe(true);
  });

  it("is not told from rates too uncertain to differ", () => {
    expect(holds({ suddenChange: { before: flow(1, 0.1), now: flow(0.7, 0.1) } })).toBe(false);
  });

  it("is true in a run after little inflow that does not lower the water", () => {
    expect(holds({ ...running, levelRate_ms: 0.0005 })).toBe(true);
    expect(holds({ ...running, levelRate_ms: -0.003 })).toBe(true);
    expect(holds({ ...running, levelRate_ms: -0.005 })).toBe(false);
  });

  it("does not take a storm, a start or a pump seen by the level alone for it", () => {
    const standing = { ...running, levelRate_ms: 0 };
    expect(holds({ ...standing, littleInflow: false })).toBe(false);
    expect(holds({ ...standing, pumpStateFor_s: 10 })).toBe(false);
    expect(holds({ ...standing, pumpStateFor_s: 400 })).toBe(false);
    expect(holds({ ...standing, pumpInferred: true })).toBe(false);
  });

  it("stays true while the same run goes on", () => {
    expect(holds({ ...running, levelRate_ms: 0, pumpStateFor_s: 4000 }, true)).toBe(true);
  });

  it("cannot be told of a pump at rest before runs have been compared", () => {
    expect(holds({})).toBeNull();
    expect(holds({ pumpRunning: null })).toBeNull();
  });
});
