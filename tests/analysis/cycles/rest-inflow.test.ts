import { describe, expect, it } from "vitest";
import { withLateEdges } from "../../../analysis/cycles/rest-inflow.ts";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import type { RestFit } from "../../../analysis/inflow/fit-rest.ts";

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
