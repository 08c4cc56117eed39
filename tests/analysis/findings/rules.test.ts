import { describe, expect, it } from "vitest";
import { findingKinds } from "../../../analysis/findings/finding.ts";
import { rules } from "../../../analysis/findings/index.ts";
import { pumpRate_m3s } from "../small-basin.ts";
import { cyclesLike, viewOf } from "./view.ts";

describe("rules", () => {
  it("have a rule for every kind of finding, and one more for each fault of a channel", () => {
    expect([...new Set(rules.map(({ kind }) => kind))].sort()).toEqual([...findingKinds].sort());
    const faults = rules.filter(({ kind }) => kind === "sensor-fault");
    // The level, its zero and span; the signals of two pumps; the high float up and down; six channels more.
    expect(faults).toHaveLength(4 + 2 + 6);
    // A pump that runs on has a second rule, for where the level alone tells; one that does not start, for one of two.
    expect(rules).toHaveLength(findingKinds.length - 1 + 2 + faults.length);
  });

  it("say nothing of a healthy basin, at rest, running, or without any channel", () => {
    const views = [
      viewOf(),
      viewOf({ pumpRunning: true, dischargeNow_m3s: pumpRate_m3s }),
      viewOf({ pumpRunning: true, pumpInferred: true, dischargeNow_m3s: pumpRate_m3s }),
      viewOf({ highFloat: false, mainsOn: true }),
      viewOf({
        level_m: null,
        pumpRunning: null,
        lastLevel_m: null,
        stopLevel_m: null,
        inflow: null,
        pumpRate: null,
        peak600: null,
        recentCycles: [],
      }),
    ];
    for (const view of views) {
      for (const rule of rules) expect([rule.kind, rule.holds(view, null)]).not.toEqual([rule.kind, true]);
    }
  });

  it("tell in words what to do, without figures in units, and evidence as plain figures", () => {
    const views = [
      viewOf(),
      viewOf({ mainsOn: false, pumpRunning: true, levelProblem: "frozen" }),
      viewOf({ recentCycles: [], level_m: null, pumpRate: null, inflow: null, peak600: null }),
      viewOf({ recentCycles: cyclesLike({ pumpRate: null, inflow: null, rest_s: null, drainBack_m3: null }) }),
    ];
    for (const rule of rules) {
      for (const view of views) {
        expect(rule.message(view, rule.evidence(view))).toMatch(/^[A-Z][^0-9]+\.$/);
        for (const value of Object.values(rule.evidence(view))) {
          expect(value === null || ["number", "string", "boolean"].includes(typeof value)).toBe(true);
          if (typeof value === "number") expect(Number.isFinite(value)).toBe(true);
        }
      }
    }
  });
});
