import { describe, expect, it } from "vitest";
import type { EndedRun, RestSummary } from "../../../analysis/cycles/ended-run.ts";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { newCapability } from "../../../analysis/pump-flow/capability-state.ts";
import { meanInflow } from "../../../analysis/pump-flow/inflow-beside-run.ts";
import { balance_m3, finalRate, movedVolume_m3, volumeByRate_m3 } from "../../../analysis/pump-flow/run-rate.ts";
import { flow, quietCycle } from "../findings/view.ts";
import { silentOutput } from "../silent-output.ts";
import { inflow_m3s, smallSite } from "../small-basin.ts";

const context: TrackerContext = {
  basin: smallSite.basin,
  geometry: basinGeometry(smallSite.basin.geometry),
  interval_s: 1,
  inferred: false,
  typicalRun_s: 20,
  hasLevel: true,
  longInterval_s: 1,
  resolution_m: 0.0001,
  output: silentOutput,
};

function rest(flow_m3s = inflow_m3s, change: Partial<RestSummary> = {}): RestSummary {
  const inflow = { ...flow(flow_m3s), method: "fill-slope" } as const;
  const at = { inflow, time_s: 0 };
  return { inflow, rest_s: 200, startVolume_m3: 0.01, endVolume_m3: 0.03, first: at, last: at, ...change };
}

/** A run of so many seconds whose volume falls by so much at its beginning and towards its end. */
function run(run_s: number, early_m3s: number, late_m3s: number | null, before: RestSummary | null = rest()): EndedRun {
  return {
    cycle: { ...quietCycle, run_s, stoppedAt_s: quietCycle.startedAt_s + run_s },
    before,
    whole: flow(early_m3s),
    early: flow(early_m3s),
    late: late_m3s === null ? null : flow(late_m3s),
    parts: [],
    stopVolume_m3: 0.01,
    lastOver_m3: 0,
    meanLevel_m: 0.2,
    early_s: 0,
    lateStart_s: null,
    course: null,
    wet_s: run_s,
    halves: null,
  };
}

const rateOf = (ended: EndedRun, after: RestSummary | null = rest()) =>
  finalRate(ended, after, newCapability(), context, null);

describe("finalRate", () => {
  it("is the fall and the inflow of the rests on either side: 60 and 6 L/min", () => {
    expect(rateOf(run(20, 1e-3, null))?.flow_m3s).toBeCloseTo(1.1e-3, 12);
    expect(rateOf(run(20, 1e-3, null), rest(3 * inflow_m3s))?.flow_m3s).toBeCloseTo(1.2e-3, 12);
  });

  it("is the less sure the more the inflow changed from one side to the other, for nobody knows when", () => {
    const steady = rateOf(run(20, 1e-3, null))?.uFlow_m3s ?? 0;
    const changed = rateOf(run(20, 1e-3, null), rest(inflow_m3s + 3e-4))?.uFlow_m3s ?? 0;
    // Anywhere between the two, 0.3 L/s apart: that over √12 (GUM 4.3.7).
    expect(Math.sqrt(changed ** 2 - steady ** 2) * 1000).toBeCloseTo(0.3 / Math.sqrt(12), 2);
  });

  it("is not known of a run read off a few levels whose fall is far from what was gone after it", () => {
    const seldom = { ...context, inferred: true, interval_s: 10, longInterval_s: 10 };
    const by = (fall_m3s: number) => finalRate(run(20, fall_m3s, null), rest(), newCapability(), seldom, null);
    // 20 L gone and 2 L come in within 20 s: 66 L/min.
    expect(by(0.9e-3)?.flow_m3s).toBeCloseTo(1e-3, 12);
    expect(by(0.3e-3)).toBeNull();
    expect(by(2e-3)).toBeNull();
  });

  it("is the mean of both ends of a long run, each with the inflow of the rest beside it", () => {
    // 60 and 6 at first, 45 and 21 at last: 66 L/min at either end.
    expect(rateOf(run(300, 1e-3, 0.75e-3), rest(3.5e-4))?.flow_m3s).toBeCloseTo(1.1e-3, 12);
  });

  it("is unknown when the two ends of a long run differ by more than a tenth: inflow changed meanwhile", () => {
    expect(rateOf(run(300, 1e-3, 0.85e-3))).toBeNull();
    expect(rateOf(run(300, 1e-3, 0.95e-3))?.flow_m3s).toBeCloseTo(1.075e-3, 12);
  });

  it("is unknown where readings are too far apart to tell a long run from many, and where it would be none", () => {
    const many = { ...context, interval_s: 60, byShare: true };
    expect(finalRate(run(700, 1e-3, 1e-3), rest(), newCapability(), many, null)).toBeNull();
    expect(rateOf(run(300, -1.5e-4, -1.5e-4))).toBeNull();
  });

  it("is that of its beginning in a long run that ran dry before its end", () => {
    expect(rateOf(run(300, 1e-3, null))?.flow_m3s).toBeCloseTo(1.1e-3, 12);
  });

  it("is unknown without the inflow on either side", () => {
    const unknown = rest(inflow_m3s, { inflow: null, first: null, last: null });
    expect(rateOf(run(20, 1e-3, null, unknown), unknown)).toBeNull();
    expect(rateOf(run(20, 1e-3, null, null), null)).toBeNull();
  });
});

describe("finalRate of readings far apart", () => {
  const apart: TrackerContext = { ...context, interval_s: 30, longInterval_s: 30, typicalRun_s: 20 };
  const of = (ended: EndedRun, change: Partial<TrackerContext> = {}) =>
    finalRate(ended, rest(), newCapability(), { ...apart, ...change }, null);

  it("is unknown where a run holds fewer than ten of them, for it may be two", () => {
    expect(of(run(90, 1e-3, null))).toBeNull();
    expect(of(run(400, 1e-3, 1e-3))?.flow_m3s).toBeCloseTo(1.1e-3, 12);
    expect(of(run(90, 1e-3, null), { interval_s: 15 })?.flow_m3s).toBeCloseTo(1.1e-3, 12);
    expect(of(run(90, 1e-3, null), { interval_s: 15, inferred: true })).toBeNull();
  });

  it("is unknown of a run without two readings, where most have them: it is one of those that look short", () => {
    const bare = { ...run(10, 1e-3, null), whole: null, early: null };
    expect(of(bare, { interval_s: 10, longInterval_s: 10, typicalRun_s: 25 })).toBeNull();
    expect(of(bare, { interval_s: 1, longInterval_s: 1, typicalRun_s: 25 })).not.toBeNull();
  });
});

describe("meanInflow", () => {
  it("is the mean of the two rests near the run, or the one that is known", () => {
    expect(meanInflow(rest(1e-4), rest(3e-4))?.flow_m3s).toBeCloseTo(2e-4, 15);
    expect(meanInflow(null, rest(3e-4))?.flow_m3s).toBe(3e-4);
    expect(meanInflow(null, null)).toBeNull();
  });
});

describe("movedVolume_m3", () => {
  const cycle = quietCycle;

  it("is what was there less what is left, what came in meanwhile and what came back: 20, 2 and 4 L", () => {
    const returned = { volume_m3: 0.004, time_s: 1, course: "fading" } as const;
    expect(movedVolume_m3(cycle, rest(), rest(), null)).toBeCloseTo(0.022, 12);
    expect(movedVolume_m3(cycle, rest(), rest(inflow_m3s, { startVolume_m3: 0.014 }), returned)).toBeCloseTo(0.022, 12);
  });

  it("is unknown without either volume, and over a run so long that the inflow may have changed", () => {
    expect(movedVolume_m3(cycle, rest(inflow_m3s, { endVolume_m3: null }), rest(), null)).toBeNull();
    expect(movedVolume_m3(cycle, rest(), null, null)).toBeNull();
    expect(movedVolume_m3({ ...cycle, run_s: 121 }, rest(), rest(), null)).toBeNull();
  });
});

describe("balance_m3", () => {
  it("is what is gone and what came in meanwhile, however long the run was: 20 L and an hour of 6 L/min", () => {
    const cycle = { ...quietCycle, run_s: 3600 };
    expect(balance_m3(cycle, rest(1e-4), rest(1e-4), null)).toBeCloseTo(0.02 + 0.36, 12);
    expect(movedVolume_m3(cycle, rest(1e-4), rest(1e-4), null)).toBeNull();
    expect(balance_m3(cycle, rest(1e-4), null, null)).toBeNull();
  });
});

describe("volumeByRate_m3", () => {
  it("is the rate over the run less the half second that a start takes: 66 L/min over 19.5 s", () => {
    expect(volumeByRate_m3(quietCycle, 20)).toBeCloseTo(1.1e-3 * 19.5, 12);
    expect(volumeByRate_m3({ ...quietCycle, pumpRate: null }, 20)).toBeNull();
  });

  it("ends where the pump found no more water", () => {
    expect(volumeByRate_m3({ ...quietCycle, run_s: 3600 }, 20.5)).toBeCloseTo(1.1e-3 * 20, 12);
  });
});
