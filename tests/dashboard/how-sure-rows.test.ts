import { describe, expect, it } from "vitest";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { howSureRows, isStated } from "../../dashboard/how-sure-rows.ts";

const lpm = 1 / 60_000;
const sure = { degreesOfFreedom: Number.POSITIVE_INFINITY };

/** Noise of 0.3 and a geometry of 0.4 L/min, so 0.5 in all, of 20 L/min. */
const cycle: Cycle = {
  startedAt_s: 1000,
  stoppedAt_s: 1020,
  run_s: 20,
  rest_s: 200,
  startLevel_m: 0.3,
  stopLevel_m: 0.1,
  inflow: { flow_m3s: 20 * lpm, uFlow_m3s: 0.5 * lpm, ...sure, method: "fill-slope", parts: { geometry: 0.4 * lpm } },
  pumpRate: { flow_m3s: 80 * lpm, uFlow_m3s: 0.8 * lpm, ...sure },
  drainBack_m3: null,
};

describe("howSureRows", () => {
  it("gives half-widths of 95 % coverage and their share of the figure, and leaves out what plays no part", () => {
    expect(howSureRows(cycle, "metric")).toEqual([
      { what: "Noise of the level sensor", inflow: "0.59 (2.9 %)", pump: "1.6 (2 %)" },
      { what: "Size of the basin", inflow: "0.78 (3.9 %)", pump: "–" },
      { what: "All together", inflow: "0.98 (4.9 %)", pump: "1.6 (2 %)" },
    ]);
  });

  it("gives them in gallons per minute where those are read", () => {
    expect(howSureRows(cycle, "us").at(-1)).toMatchObject({ inflow: "0.26 (4.9 %)" });
  });

  it("has no figure where none is known", () => {
    const bare = { ...cycle, inflow: null, pumpRate: null };
    expect(howSureRows(bare, "metric")).toEqual([{ what: "All together", inflow: "–", pump: "–" }]);
  });
});

describe("isStated", () => {
  it("is true of a cycle with errors that all cycles share", () => {
    expect(isStated(cycle)).toBe(true);
    expect(isStated({ ...cycle, inflow: null })).toBe(false);
    const timed = { flow_m3s: lpm, uFlow_m3s: 0.1 * lpm, ...sure, parts: { timing: 0.1 * lpm } };
    expect(isStated({ ...cycle, inflow: null, pumpRate: timed })).toBe(false);
  });
});
