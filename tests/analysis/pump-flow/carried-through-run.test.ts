import { describe, expect, it } from "vitest";
import type { RestSummary } from "../../../analysis/cycles/ended-run.ts";
import { carriedThrough } from "../../../analysis/pump-flow/carried-through-run.ts";
import { flow, quietCycle } from "../findings/view.ts";

/** @param ends inflow and time at its beginning and its end; the time for which that lasted, where it came by turns */
function rest(...ends: [flow_m3s: number, time_s: number, lasted_s?: number][]): RestSummary {
  const [first, last] = ends.map(([flow_m3s, time_s, lasted_s]) => ({
    inflow: flow(flow_m3s),
    time_s,
    ...(lasted_s !== undefined && { lasted_s }),
  }));
  const inflow = { ...flow(1e-4), method: "fill-slope" } as const;
  return { inflow, rest_s: 200, startVolume_m3: 0.01, endVolume_m3: 0.03, first: first ?? null, last: last ?? null };
}

/** A run from 1000 s to 1020 s, where nothing else is said. */
const carried = (
  before: RestSummary | null,
  after: RestSummary | null,
  late_s = 0,
  stoppedAt_s = 1020,
  meanLevel_m: number | null = null,
) => {
  const cycle = { ...quietCycle, startedAt_s: 1000, stoppedAt_s, startLevel_m: 0.3, stopLevel_m: 0.1 };
  return carriedThrough({ cycle, before, meanLevel_m }, after, late_s);
};
const mean_m3s = (before: RestSummary, after: RestSummary, from_s: number, to_s: number) =>
  carried(before, after)?.over(from_s, to_s).flow_m3s;

describe("carriedThrough", () => {
  it("goes straight from one side to the other where both are smooth", () => {
    const [before, after] = [rest([2e-4, 0], [2e-4, 990]), rest([4e-4, 1190], [4e-4, 2000])];
    expect(mean_m3s(before, after, 1000, 1100)).toBeCloseTo(2.6e-4, 12);
    expect(mean_m3s(before, after, 1100, 1180)).toBeCloseTo(3.5e-4, 12);
    expect(carried(before, after)?.over(1100, 1180).uAlike_m3s).toBeUndefined();
  });

  it("lets what poured in on either side fall to what was calm within twice the time that it had lasted", () => {
    const calm = [1e-4, 0] as const;
    const poured = rest([...calm], [5e-4, 985, 30]);
    const after = rest([1e-4, 3000], [1e-4, 4000]);
    // From 985 s to 1045 s; the middle of what is left of it as the run begins is 1015 s.
    expect(mean_m3s(poured, after, 1014, 1016)).toBeCloseTo(3e-4, 12);
    expect(mean_m3s(poured, after, 1045, 2800)).toBeCloseTo(1e-4, 12);
    const pouredAfter = rest([5e-4, 3015, 30], [1e-4, 4000]);
    expect(mean_m3s(rest([...calm], [1e-4, 900]), pouredAfter, 2984, 2986)).toBeCloseTo(3e-4, 12);
  });

  it("takes what comes in as fast on the other side for a storm that goes on", () => {
    const broke = rest([1e-4, 0], [5e-4, 985, 30]);
    const until2990 = (after_m3s: number, from_s: number) =>
      carried(broke, rest([after_m3s, 2990], [1e-4, 4000]), 0, 2990)?.over(from_s, 2900).flow_m3s;
    expect(until2990(5e-4, 1000)).toBeCloseTo(5e-4, 12);
    expect(until2990(3e-4, 1500)).toBeCloseTo(3e-4, 12);
  });

  it("is the less sure the nearer, as half of what has lasted for so long lasts as long again", () => {
    const found = carried(rest([1e-4, 0], [5e-4, 985, 30]), rest([1e-4, 9000], [1e-4, 9900]));
    const u_m3s = (at_s: number) => found?.over(at_s - 1, at_s + 1).uFlow_m3s ?? Number.NaN;
    expect(u_m3s(1015)).toBeCloseTo(Math.hypot(2e-4, found?.calmBefore.uFlow_m3s ?? 0), 5);
    expect(u_m3s(8000)).toBeLessThan(0.1 * 4e-4);
    expect(u_m3s(8000)).toBeGreaterThan(0.05 * 4e-4);
  });

  it("is the less sure the longer ago the rests on either side were", () => {
    const found = carried(rest([1e-4, 0], [1e-4, 1000]), rest([1e-4, 8200], [1e-4, 9000]));
    const u_m3s = (at_s: number) => found?.over(at_s - 1, at_s + 1).uFlow_m3s ?? Number.NaN;
    const { uFlow_m3s } = flow(1e-4);
    // A twelfth of it, an hour away from both.
    expect(u_m3s(4600)).toBeCloseTo(Math.hypot(uFlow_m3s / Math.SQRT2, 1e-4 / 12), 9);
    expect(u_m3s(1001)).toBeCloseTo(uFlow_m3s, 8);
    expect(u_m3s(8199)).toBeCloseTo(uFlow_m3s, 8);
  });

  it("carries what falls off while a rest fills on to the run, by the same factor in each equal time", () => {
    // By a half in 20 s: 10 s before the start and after the stop they are seen.
    const [before, after] = [rest([8e-4, 970], [4e-4, 990]), rest([8e-4, 1030], [4e-4, 1050])];
    const [start_m3s, stop_m3s] = [4e-4 / Math.SQRT2, 8e-4 * Math.SQRT2];
    expect(mean_m3s(before, after, 1000, 1010)).toBeCloseTo(start_m3s + (stop_m3s - start_m3s) / 4, 12);
    expect(mean_m3s(before, after, 1010, 1020)).toBeCloseTo(start_m3s + 0.75 * (stop_m3s - start_m3s), 12);
    // A hundredth of what was seen, and up to as far as it is carried on.
    const u_m3s = carried(before, after)?.over(1019.999, 1020).uFlow_m3s ?? 0;
    expect(u_m3s).toBeCloseTo(Math.hypot(8e-6, (stop_m3s - 8e-4) / Math.sqrt(12)), 7);
    // By the same law in every run, at either end: that does not average away.
    const uEnds_m3s = [4e-4 - start_m3s, stop_m3s - 8e-4].map((off_m3s) => off_m3s / Math.sqrt(12));
    expect(carried(before, after)?.over(1000, 1020).uAlike_m3s).toBeCloseTo(Math.hypot(...uEnds_m3s) / 2, 12);
  });

  it("carries nothing on that falls off in the rest on one side alone, as no level lets it", () => {
    const [before, after] = [rest([8e-4, 970], [4e-4, 990]), rest([6e-4, 1030], [6e-4, 1050])];
    expect(mean_m3s(before, after, 1000, 1020)).toBeCloseTo(5e-4, 12);
  });

  it("counts for more what comes in at the end where the water lingers low, as Simpson's rule does", () => {
    const [before, after] = [rest([8e-4, 970], [4e-4, 990]), rest([8e-4, 1030], [4e-4, 1050])];
    const [start_m3s, stop_m3s] = [4e-4 / Math.SQRT2, 8e-4 * Math.SQRT2];
    // Three quarters of the way down in the middle of its time.
    const parts = Array.from({ length: 200 }, (_, i) => 1000 + 0.1 * i);
    const over = carried(before, after, 0, 1020, 0.15);
    const mean_m3s = parts.reduce((sum, at_s) => sum + (over?.over(at_s, at_s + 0.1).flow_m3s ?? 0), 0) / parts.length;
    expect(mean_m3s).toBeCloseTo(start_m3s + ((4 * 0.75 + 1) / 6) * (stop_m3s - start_m3s), 8);
  });

  it("has the most just after the pump stopped, which passes for the run where the stop is seen late", () => {
    const [before, after] = [rest([8e-4, 960], [4e-4, 980]), rest([8e-4, 1040], [4e-4, 1060])];
    // Five seconds late: by a half in 20 s over 15 s before the start, and over 25 s from the stop to where it was seen.
    const [start_m3s, stop_m3s] = [4e-4 * 0.5 ** 0.75, 8e-4 * 2 ** 1];
    const late = carried(before, after, 5);
    expect(late?.over(995, 1015).flow_m3s).toBeCloseTo((start_m3s + stop_m3s) / 2, 12);
    expect(late?.over(1015, 1020).flow_m3s).toBeCloseTo(stop_m3s + ((8e-4 - stop_m3s) * 2.5) / 25, 12);
    const mixed_m3s = late?.over(1010, 1020).flow_m3s ?? 0;
    expect(mixed_m3s).toBeCloseTo(
      ((late?.over(1010, 1015).flow_m3s ?? 0) + (late?.over(1015, 1020).flow_m3s ?? 0)) / 2,
      12,
    );
  });

  it("is not known where one side tells nothing", () => {
    expect(carried(null, rest([1e-4, 0], [1e-4, 10]))).toBeNull();
    expect(carried(rest([1e-4, 0], [1e-4, 10]), null)).toBeNull();
  });
});
