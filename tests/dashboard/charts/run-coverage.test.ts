import { describe, expect, it } from "vitest";
import { runCoverage } from "../../../dashboard/charts/run-coverage.ts";

describe("shading of runs", () => {
  it("covers the columns that a run covers, in part at its ends", () => {
    // Ten columns of 10 s; a run from 15 s to 40 s.
    const coverage = runCoverage([{ startedAt_s: 15, stoppedAt_s: 40 }], { from_s: 0, to_s: 100 }, 10);
    expect([...coverage]).toEqual([0, 0.5, 1, 1, 0, 0, 0, 0, 0, 0]);
  });

  it("adds up runs that share a column", () => {
    const runs = [
      { startedAt_s: 1, stoppedAt_s: 2 },
      { startedAt_s: 5, stoppedAt_s: 7 },
    ];
    expect(runCoverage(runs, { from_s: 0, to_s: 20 }, 2)[0]).toBeCloseTo(0.3, 6);
  });

  it("cuts at the ends of what is visible", () => {
    const coverage = runCoverage([{ startedAt_s: -50, stoppedAt_s: 500 }], { from_s: 0, to_s: 100 }, 4);
    expect([...coverage]).toEqual([1, 1, 1, 1]);
  });
});
