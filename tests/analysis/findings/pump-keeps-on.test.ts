import { describe, expect, it } from "vitest";
import { newKeptDown } from "../../../analysis/findings/kept-down.ts";
import { pumpKeepsOn } from "../../../analysis/findings/pump-keeps-on.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { analyse } from "../analyse.ts";
import { courseAt, cycle_s, reading, rest_s, run_s, smallSite, startTime_s } from "../small-basin.ts";
import { viewOf } from "./view.ts";

const keptDown = { ...newKeptDown(), from_s: startTime_s - 200, kept: true };

/** By the level alone: whole cycles, then one whose run goes on down to the intake and stays there. */
function stuckFor(stuck_s: number): Reading[] {
  const sound_s = 8 * cycle_s + rest_s + run_s;
  return Array.from({ length: sound_s + stuck_s + 2 * cycle_s }, (_, after_s) => {
    const into_s = after_s - sound_s;
    const level_m =
      into_s < 0
        ? courseAt(after_s).level_m
        : into_s < stuck_s
          ? Math.max(0.05, 0.1 - 0.01 * into_s)
          : into_s < stuck_s + 50
            ? 0.05 + 0.001 * (into_s - stuck_s)
            : courseAt(into_s - stuck_s - 50).level_m;
    return reading(startTime_s + after_s, { level_m: level_m + 0.0002 * ((after_s * 7) % 5) });
  });
}

describe("float-stuck-on by the level alone", () => {
  it("goes by the water that is kept down, where no signal tells of the pump", () => {
    expect(pumpKeepsOn.holds(viewOf({ pumpInferred: true, keptDown }), null)).toBe(true);
    expect(pumpKeepsOn.holds(viewOf({ pumpInferred: true }), null)).toBe(false);
    expect(pumpKeepsOn.holds(viewOf({ pumpInferred: false, keptDown }), null)).toBeNull();
    expect(pumpKeepsOn.evidence(viewOf({ keptDown, level_m: 0.05 }))).toEqual({
      level_m: 0.05,
      stop_level_m: 0.1,
      kept_down_s: 200,
    });
  });

  it("finds a pump that runs on for half an hour, once, and takes that time for no rest", () => {
    const { said, summary } = analyse(smallSite, stuckFor(1800));
    expect(said.findings.map(({ finding, change }) => [finding.kind, change])).toEqual([
      ["float-stuck-on", "began"],
      ["float-stuck-on", "ended"],
    ]);
    // 6 L/min by the rests before and after; as a rest the half hour would have made it half of that
    expect(summary.inflow.mean_lpm).toBeCloseTo(6, 0);
  });

  it("finds nothing where the pump stops in time", () => {
    expect(analyse(smallSite, stuckFor(0)).said.findings).toEqual([]);
  });
});
