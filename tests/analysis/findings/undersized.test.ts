import { describe, expect, it } from "vitest";
import { undersized } from "../../../analysis/findings/undersized.ts";
import { flow, openSince, viewOf } from "./view.ts";

const peak = (inflow_m3s: number) => ({ inflow_m3s, uInflow_m3s: 0, at_s: 0 });

describe("undersized", () => {
  it("is true when the worst ten minutes times the site's allowance of 1.5 are more than the pump moves", () => {
    expect(undersized.holds(viewOf({ peak600: peak(0.99), pumpRate: flow(1.5) }), null)).toBe(false);
    expect(undersized.holds(viewOf({ peak600: peak(1.01), pumpRate: flow(1.5) }), null)).toBe(true);
  });

  it("stays open until the pump moves a twentieth more than that", () => {
    expect(undersized.holds(viewOf({ peak600: peak(1), pumpRate: flow(1.57) }), openSince())).toBe(true);
    expect(undersized.holds(viewOf({ peak600: peak(1), pumpRate: flow(1.58) }), openSince())).toBe(false);
  });

  it("takes what came in at the least for the peak, where none so high was measured", () => {
    expect(undersized.holds(viewOf({ peak600: peak(0.5), leastPeak600_m3s: 1.01, pumpRate: flow(1.5) }), null)).toBe(
      true,
    );
    expect(undersized.holds(viewOf({ peak600: null, leastPeak600_m3s: 0.99, pumpRate: flow(1.5) }), null)).toBe(false);
    expect(undersized.evidence(viewOf({ peak600: peak(2), leastPeak600_m3s: 1 }))).toMatchObject({ peak_600_s_m3s: 2 });
  });

  it("takes no peak for true that the pump cannot have moved in the time it ran, with what the basin holds", () => {
    // 20 % of 1.5 m³/s, and 60 L in ten minutes.
    const seldom = viewOf({ peak600: peak(1.2), pumpRate: flow(1.5), mostRunShare: 0.2 });
    expect(undersized.holds(seldom, null)).toBe(false);
    expect(Number(undersized.evidence(seldom).peak_600_s_m3s)).toBeCloseTo(0.2 * 1.02 * 1.5 + 0.0001, 6);
    expect(undersized.holds({ ...seldom, mostRunShare: 0.9 }, null)).toBe(true);
    expect(undersized.holds({ ...seldom, basinHolds_m3: null }, null)).toBe(true);
  });

  it("waits until the peak stands clear of what neither it nor the pump is known to", () => {
    const unsure = (uInflow_m3s: number) => ({ inflow_m3s: 1.05, uInflow_m3s, at_s: 0 });
    expect(undersized.holds(viewOf({ peak600: unsure(0.06), pumpRate: flow(1.5) }), null)).toBe(false);
    expect(undersized.holds(viewOf({ peak600: unsure(0.04), pumpRate: flow(1.5) }), null)).toBe(true);
  });

  it("cannot be told by a peak that is known to a third of itself, as of runs of a blocked pump", () => {
    const vague = (uInflow_m3s: number) => ({ inflow_m3s: 3, uInflow_m3s, at_s: 0 });
    expect(undersized.holds(viewOf({ peak600: vague(1), pumpRate: flow(1.5) }), null)).toBeNull();
    expect(undersized.holds(viewOf({ peak600: vague(0.8), pumpRate: flow(1.5) }), null)).toBe(true);
  });

  it("cannot be told before ten minutes and the pump have been measured", () => {
    expect(undersized.holds(viewOf({ peak600: null }), null)).toBeNull();
    expect(undersized.holds(viewOf({ pumpRate: null }), null)).toBeNull();
  });

  it("says what it weighed, and remembers a peak that is 2 % higher", () => {
    const evidence = undersized.evidence(viewOf({ peak600: peak(2), pumpRate: flow(1.5) }));
    expect(evidence).toEqual({ peak_600_s_m3s: 2, inflow_factor: 1.5, pump_rate_m3s: 1.5 });
    expect(undersized.worsen?.(evidence, viewOf({ peak600: peak(2.03) }))).toBeNull();
    expect(undersized.worsen?.(evidence, viewOf({ peak600: peak(2.05) }))).toMatchObject({ peak_600_s_m3s: 2.05 });
  });
});
