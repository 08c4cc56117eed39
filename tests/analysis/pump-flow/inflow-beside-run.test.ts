import { describe, expect, it } from "vitest";
import type { RestSummary } from "../../../analysis/cycles/ended-run.ts";
import { comesByLevel, inflowOverRun, meanInflow } from "../../../analysis/pump-flow/inflow-beside-run.ts";
import { quietCycle } from "../findings/view.ts";

const known = (flow_m3s: number) => ({ flow_m3s, uFlow_m3s: 1e-6, degreesOfFreedom: 30 });

/** A rest whose inflow was so much about its beginning and about its end. */
function rest(first_m3s: number, last_m3s: number, firstAt_s: number, lastAt_s: number): RestSummary {
  return {
    inflow: null,
    rest_s: 40,
    startVolume_m3: null,
    endVolume_m3: null,
    first: { inflow: known(first_m3s), time_s: firstAt_s },
    last: { inflow: known(last_m3s), time_s: lastAt_s },
  };
}

// From 100 s to 140 s, from 0.3 m down to 0.1 m.
const run = { ...quietCycle, startedAt_s: 100, stoppedAt_s: 140, run_s: 40, startLevel_m: 0.3, stopLevel_m: 0.1 };
const before = rest(8e-4, 4e-4, 70, 90);
const after = rest(8e-4, 4e-4, 150, 170);

describe("inflowOverRun", () => {
  it("carries the rests on to the run, by a half in 20 s each time, and lets the end count for more where the water lingers low", () => {
    const [start_m3s, end_m3s] = [4e-4 / Math.SQRT2, 8e-4 * Math.SQRT2];
    expect(inflowOverRun(run, before, after, 0.2)?.flow_m3s).toBeCloseTo((start_m3s + end_m3s) / 2, 12);
    // Simpson's rule: three quarters of the way down in the middle of its time.
    const low_m3s = (start_m3s + 4 * (start_m3s + 0.75 * (end_m3s - start_m3s)) + end_m3s) / 6;
    expect(inflowOverRun(run, before, after, 0.15)?.flow_m3s).toBeCloseTo(low_m3s, 12);
  });

  it("is later in the run nearer to what came in at its end", () => {
    const late_m3s = inflowOverRun(run, before, after, 0.2, 4)?.flow_m3s ?? 0;
    expect(late_m3s - (inflowOverRun(run, before, after, 0.2)?.flow_m3s ?? 0)).toBeCloseTo(
      0.1 * (8e-4 * Math.SQRT2 - 4e-4 / Math.SQRT2),
      12,
    );
  });

  it("is the mean of either side where rests do not bend beyond their uncertainty, or one of them does not tell", () => {
    const steady = [rest(5.01e-4, 5e-4, 70, 90), rest(5e-4, 5.01e-4, 150, 170)] as const;
    expect(inflowOverRun(run, ...steady, 0.2)).toEqual(meanInflow(...steady));
    expect(inflowOverRun(run, before, null, 0.15)).toEqual(before.last?.inflow);
  });
});

describe("comesByLevel", () => {
  it("holds where both rests fall off as the basin fills, from about as much to about as little", () => {
    expect(comesByLevel(before, after)).toBe(true);
    expect(comesByLevel(before, rest(8.5e-4, 4.5e-4, 150, 170))).toBe(true);
  });

  it("does not where a storm breaks meanwhile, where a rest is steady or rises, and where one does not tell", () => {
    expect(comesByLevel(before, rest(12e-4, 6e-4, 150, 170))).toBe(false);
    expect(comesByLevel(rest(4.01e-4, 4e-4, 70, 90), after)).toBe(false);
    expect(comesByLevel(rest(4e-4, 8e-4, 70, 90), rest(4e-4, 8e-4, 150, 170))).toBe(false);
    expect(comesByLevel(before, null)).toBe(false);
  });

  it("does not where water came by turns", () => {
    const byTurns = { ...after, first: { inflow: known(8e-4), time_s: 150, lasted_s: 12 } };
    expect(comesByLevel(before, byTurns)).toBe(false);
  });
});
