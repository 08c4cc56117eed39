import { describe, expect, it } from "vitest";
import type { RestSummary } from "../../../analysis/cycles/ended-run.ts";
import {
  doubtFallInRest,
  doubtInRun,
  inflowTowards,
  passInflowOfRest,
  sureAtEnd_m3s,
  withLateEdges,
} from "../../../analysis/cycles/rest-inflow.ts";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import type { TrackerState } from "../../../analysis/cycles/tracker-state.ts";
import type { RestFit } from "../../../analysis/inflow/rest/fit-rest.ts";
import { flow } from "../findings/view.ts";

const duration_s = 400;
const context = { interval_s: 10, inferred: false } as TrackerContext;

/** Inflow that sinks in a straight line from the stop to the start, and what comes in between two times. */
function sinking(from_m3s: number, to_m3s: number): RestFit {
  const at = (t: number) => from_m3s + ((to_m3s - from_m3s) * t) / duration_s;
  const inflowOver = (a: number, b: number) => ({ flow_m3s: at((a + b) / 2), uFlow_m3s: 1e-9 });
  return { seenFrom_s: 0, seenTo_s: duration_s, inflow: inflowOver(0, duration_s), inflowOver } as RestFit;
}

describe("withLateEdges", () => {
  it("moves the mean to the rest itself, which began and ended half an interval before it was seen to", () => {
    const fit = sinking(4e-4, 2e-4);
    const meant = withLateEdges(fit.inflow, fit, duration_s, context);
    // Five seconds earlier along a line that sinks by 2e-4 m3/s in 400 s: 2.5e-6 more, by hand.
    expect(meant.flow_m3s - fit.inflow.flow_m3s).toBeCloseTo(2.5e-6, 7);
  });

  it("holds in the uncertainty that each edge lies anywhere within its interval", () => {
    const fit = sinking(4e-4, 2e-4);
    // 5 s / 400 s times the root of the two ends' squares, 1e-4 m3/s each, over the root of 3: by hand.
    const by_m3s = ((5 / 400) * Math.SQRT2 * 1e-4) / Math.sqrt(3);
    expect(withLateEdges(fit.inflow, fit, duration_s, context).uFlow_m3s / by_m3s).toBeCloseTo(1, 1);
  });

  it("leaves a steady inflow as it is, and one whose edges were read off the level", () => {
    const steady = sinking(3e-4, 3e-4);
    expect(withLateEdges(steady.inflow, steady, duration_s, context)).toEqual(steady.inflow);
    const fit = sinking(4e-4, 2e-4);
    expect(withLateEdges(fit.inflow, fit, duration_s, { ...context, inferred: true })).toBe(fit.inflow);
  });
});

/** 3 L/min over ten minutes, but for 15 L/min in the last so many seconds. */
function poursLast(pouring_s: number): RestFit {
  const whole_s = 600;
  const cameIn_l = (t: number) => (3 * t + 12 * Math.max(0, t - whole_s + pouring_s)) / 60;
  const inflowOver = (from_s: number, to_s: number) =>
    flow((cameIn_l(to_s) - cameIn_l(from_s)) / (to_s - from_s) / 1000);
  return {
    seenFrom_s: 0,
    seenTo_s: whole_s,
    inflow: inflowOver(0, whole_s),
    drainBack: null,
    startVolume_m3: null,
    endVolume_m3: null,
    sampleSd_m3: 1e-4,
    turns_s: { first: whole_s - pouring_s, last: whole_s - pouring_s },
    inflowOver,
    inflowParts: () => [],
  };
}

describe("inflowTowards", () => {
  const endOf_lpm = (fit: RestFit) => inflowTowards("end", fit, fit.inflow, 0, 600).inflow.flow_m3s * 60_000;

  it("is that of the water that poured in when the rest ended, not that of its last minute", () => {
    expect(endOf_lpm(poursLast(20))).toBeCloseTo(15, 9);
    const { turns_s, ...smooth } = poursLast(20);
    expect(turns_s?.last).toBe(580);
    expect(endOf_lpm(smooth)).toBeCloseTo(3 + 12 / 3, 9);
  });

  it("takes what poured in for three seconds for a bucket: over ten seconds", () => {
    expect(endOf_lpm(poursLast(3))).toBeCloseTo(3 + 12 * 0.3, 9);
  });

  it("is that of either third where a short rest bends clearly, and of all of it where it may not", () => {
    const towards = (end: "beginning" | "end", uThird_m3s: number) => {
      const long = sinking(8e-4, 2e-4);
      const inflowOver = (a: number, b: number) => ({ ...long.inflowOver(4 * a, 4 * b), uFlow_m3s: uThird_m3s });
      const fit = { ...long, seenTo_s: 100, inflow: inflowOver(0, 100), inflowOver };
      return inflowTowards(end, fit, fit.inflow, 1000, 1100);
    };
    // A line from 8e-4 to 2e-4 m³/s: 7e-4 and 3e-4 in the middle of its outer thirds, by hand.
    const [first, last] = [towards("beginning", 5e-5), towards("end", 5e-5)];
    expect([first.inflow.flow_m3s / 7e-4, last.inflow.flow_m3s / 3e-4]).toEqual([expect.closeTo(1), expect.closeTo(1)]);
    expect([first.time_s, last.time_s]).toEqual([expect.closeTo(1000 + 100 / 6), expect.closeTo(1100 - 100 / 6)]);
    const vague = towards("end", 1.2e-4);
    expect([vague.inflow.flow_m3s / 5e-4, vague.time_s]).toEqual([expect.closeTo(1), 1050]);
  });

  it("is that before the turn at the beginning", () => {
    const fit = poursLast(560);
    expect(inflowTowards("beginning", fit, fit.inflow, 0, 600).inflow.flow_m3s * 60_000).toBeCloseTo(3, 9);
  });

  it("is, towards either end of a short rest, without what came all at once in its middle", () => {
    const bare = sinking(5e-5, 5e-5);
    const withBucket = { ...bare, seenTo_s: 100, inflow: flow(2e-4), uLeapParts: () => [0] };
    const towards = (end: "beginning" | "end", fit: RestFit) => inflowTowards(end, fit, flow(2e-4), 0, 100);
    for (const end of ["beginning", "end"] as const) {
      expect(towards(end, withBucket)).toMatchObject({ inflow: { flow_m3s: 5e-5 }, time_s: 50 });
      expect(towards(end, withBucket).lasted_s).toBeUndefined();
      expect(towards(end, { ...bare, seenTo_s: 100 })).toMatchObject({ inflow: { flow_m3s: 2e-4 } });
    }
  });
});

describe("passInflowOfRest", () => {
  /** 600 s of which the last 20 bring more, known to a deciliter from its beginning to any time. */
  function handedOn(interval_s: number, back: Pick<RestFit, "uBackAlike_m3"> = {}, run_s = 0) {
    const poured = poursLast(20);
    const inflowOver = (from_s: number, to_s: number) => ({
      ...poured.inflowOver(from_s, to_s),
      uFlow_m3s: 1e-4 / (to_s - from_s),
    });
    const inflowParts = (parts: number) =>
      Array.from({ length: parts }, (_, i) => inflowOver((600 / parts) * i, (600 / parts) * (i + 1)).flow_m3s);
    const fit = { ...poured, ...back, endVolume_m3: 0.1, inflow: inflowOver(0, 600), inflowOver, inflowParts };
    const context = { longInterval_s: interval_s, output: { inflow: () => {} } } as unknown as TrackerContext;
    const state = { lastInflow: null, moved_m3s: 0, phaseFrom_s: null } as unknown as TrackerState;
    return passInflowOfRest(state, context, fit, fit.inflow, 0, 600, run_s);
  }

  it("knows what had come in up to each part's end as well as the levels, and no better than when it came", () => {
    const flows = handedOn(5);
    expect(flows).toHaveLength(40);
    // By the levels, and as far as the mean over the rest may be off by then, and when it came faster.
    const upTo_l = (part: number) => 1e3 * (flows[part]?.uUpTo_m3 ?? Number.NaN);
    expect(upTo_l(10)).toBeGreaterThan(0.1 * Math.hypot(1, 11 / 40));
    expect(upTo_l(10)).toBeLessThan(0.2);
    expect(upTo_l(37)).toBeGreaterThan((4 * 15) / 60 / Math.sqrt(12));
    expect(1e3 * (flows.at(-1)?.uUpTo_m3 ?? Number.NaN)).toBeCloseTo(0.1, 9);
  });

  it("says what is off alike in every rest, and in the runs between: what runs back that the runs alone have told", () => {
    const uAlike_m3s = handedOn(5, { uBackAlike_m3: 3e-3 }, 60).map((flow) => flow.uAlike_m3s);
    expect(new Set(uAlike_m3s)).toEqual(new Set([(3e-3 / 600) * 1.1]));
    expect(handedOn(5).every((flow) => flow.uAlike_m3s === undefined)).toBe(true);
  });

  it("claims no such thing by readings far apart, which show one moment as well as another", () => {
    expect(handedOn(30).every(({ uUpTo_m3 }) => uUpTo_m3 === undefined)).toBe(true);
  });
});

describe("doubtFallInRest", () => {
  const inDoubt_lpm = (flows_lpm: readonly number[]) =>
    doubtFallInRest(flows_lpm.map((lpm) => flow(lpm / 60_000))).map(({ doubt }) => (doubt?.flow_m3s ?? 0) * 60_000);

  it("doubts what came after the stop beyond what comes at the end: a valve may have let it back", () => {
    const doubts = inDoubt_lpm([8, 6, 3, 2, 2, 2, 2, 2]);
    expect(doubts.map((lpm) => Math.round(lpm * 1e6) / 1e6)).toEqual([6, 4, 1, 0, 0, 0, 0, 0]);
  });

  it("doubts nothing of an inflow that rises or stays", () => {
    expect(inDoubt_lpm([2, 2, 2, 2, 3, 3, 4, 4])).toEqual([0, 0, 0, 0, 0, 0, 0, 0]);
  });

  it("doubts a surge also where it goes on into the end of the rest, and knows what the rest surely brought by then", () => {
    const giving = doubtFallInRest([2, 2, 2, 2, 2, 2, 2, 9].map((lpm) => flow(lpm / 60_000)));
    expect(giving.map(({ doubt }) => Math.round((doubt?.flow_m3s ?? 0) * 60_000))).toEqual([0, 0, 0, 0, 0, 0, 0, 7]);
    expect((sureAtEnd_m3s(giving) ?? 0) * 60_000).toBeCloseTo(2, 9);
    expect(sureAtEnd_m3s([flow(2 / 60_000)])).toBeNull();
  });
});

describe("doubtInRun", () => {
  const rest = (last_lpm: number, sure_lpm?: number): RestSummary => ({
    inflow: null,
    rest_s: 600,
    startVolume_m3: null,
    endVolume_m3: null,
    first: null,
    last: { inflow: flow(last_lpm / 60_000), time_s: 0 },
    ...(sure_lpm !== undefined && { sure_m3s: sure_lpm / 60_000 }),
  });
  const inDoubt_lpm = (before: RestSummary) =>
    doubtInRun([flow(9 / 60_000)], before, rest(2))?.map(({ doubt }) => Math.round((doubt?.flow_m3s ?? 0) * 60_000));

  it("doubts what a run has from a surge at the end of the rest before it", () => {
    expect(inDoubt_lpm(rest(9, 2))).toEqual([7]);
    expect(inDoubt_lpm(rest(9))).toEqual([0]);
  });
});
