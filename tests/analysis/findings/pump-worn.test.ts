import { describe, expect, it } from "vitest";
import { pumpWorn } from "../../../analysis/findings/pump-worn.ts";
import type { SlowChange } from "../../../analysis/pump-flow/pump-change.ts";
import { newTripLevels, type TripLevelsState } from "../../../analysis/readings/trip-levels.ts";
import { flow, openSince, viewOf } from "./view.ts";

/** From 1 m³/s in the best days to `now`, each known to a share `u`. */
function change(now: number, u = 0.001, more: Partial<SlowChange> = {}) {
  return viewOf({
    slowChange: { before: flow(1, u), now: flow(now, u), longer: null, overRuns: 40, course: "slow", ...more },
  });
}

describe("pump-worn", () => {
  it("is true when the pump moves 8 % less than in its best days, clear of both uncertainties", () => {
    expect(pumpWorn.holds(change(0.93), null)).toBe(false);
    expect(pumpWorn.holds(change(0.91), null)).toBe(true);
    expect(pumpWorn.holds(change(0.91, 0.02), null)).toBe(false);
  });

  it("is not told where runs take no longer than in the best days", () => {
    // A tenth less flow makes a run a ninth longer; half of that must show.
    expect(pumpWorn.holds(change(0.9, 0.001, { longer: 1.05 }), null)).toBe(false);
    expect(pumpWorn.holds(change(0.9, 0.001, { longer: 1.06 }), null)).toBe(true);
  });

  it("is true only when the runs have summed up to a shift", () => {
    expect(pumpWorn.holds(change(0.91, 0.001, { overRuns: 0 }), null)).toBe(false);
  });

  it("is no wear while the float's swing shrinks in the reading as the rate does", () => {
    const trips = (swing_m: number, drift: TripLevelsState["drift"] = null): TripLevelsState => ({
      ...newTripLevels(),
      start_m: 0.3,
      stop_m: 0.1,
      recent: Array.from({ length: 8 }, () => ({
        time_s: 0,
        start_m: 0.1 + swing_m,
        stop_m: 0.1,
        uSampling_m: 0,
        pumpRate_m3s: null,
      })),
      drift,
    });
    const judged = (state: TripLevelsState, open = false) =>
      pumpWorn.holds({ ...change(0.9), trips: state }, open ? openSince() : null);
    // A tenth of the flow is gone; 5 % of the swing of 200 mm are 10 mm.
    expect(judged(trips(0.191))).toBe(true);
    expect(judged(trips(0.189))).toBe(false);
    expect(judged(trips(0.189), true)).toBeNull();
    const drift = { problem: "span-drift", since_s: 0, shift_m: 0, span_share: -0.03 } as const;
    expect(judged(trips(0.2, drift))).toBe(false);
  });

  it("ends when less than 5 % is missing, however uncertain that is by then", () => {
    expect(pumpWorn.holds(change(0.94, 0.02, { overRuns: 0 }), openSince())).toBe(true);
    expect(pumpWorn.holds(change(0.96, 0.02), openSince())).toBe(false);
  });

  it("says anew how it came once twice as many runs show another course", () => {
    const first = pumpWorn.evidence(change(0.9, 0.001, { course: "sudden" }));
    const later = (overRuns: number) => pumpWorn.worsen?.(first, change(0.9, 0.001, { overRuns }));
    expect(later(79)).toBeNull();
    expect(later(80)).toMatchObject({ course: "slow", cause: "worn" });
    expect(pumpWorn.worsen?.(first, change(0.9, 0.001, { overRuns: 80, course: null }))).toBeNull();
  });

  it("cannot be told before there are days to compare", () => {
    expect(pumpWorn.holds(viewOf(), null)).toBeNull();
  });

  it("says over how many runs, and whether it came by and by or at once", () => {
    expect(pumpWorn.evidence(change(0.9))).toEqual({
      course: "slow",
      cause: "worn",
      pump_rate_before_m3s: 1,
      pump_rate_now_m3s: 0.9,
      over_runs: 40,
    });
    expect(pumpWorn.evidence(change(0.8, 0.001, { course: "sudden" }))).toMatchObject({
      course: "sudden",
      cause: "part-closed",
    });
    expect(pumpWorn.message(viewOf(), { cause: "worn" })).toContain("best days");
    expect(pumpWorn.message(viewOf(), { cause: "part-closed" })).toContain("valve");
  });

  it("remembers a further loss of 2 %", () => {
    const evidence = pumpWorn.evidence(change(0.9));
    expect(pumpWorn.worsen?.(evidence, change(0.9))).toBeNull();
    expect(pumpWorn.worsen?.(evidence, change(0.88))).toMatchObject({ pump_rate_now_m3s: 0.88 });
  });
});
