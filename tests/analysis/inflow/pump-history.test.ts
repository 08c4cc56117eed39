import { describe, expect, it } from "vitest";
import { hasLost, newPumpHistory, noteRate, slowChange, suddenChange } from "../../../analysis/inflow/pump-history.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

function history(rates: readonly number[], u = 0.01) {
  const state = newPumpHistory();
  for (const flow_m3s of rates) noteRate(state, { flow_m3s, uFlow_m3s: u * flow_m3s, degreesOfFreedom: 20 });
  return state;
}

/** Runs that scatter by 1 % about a rate that may change from run to run. */
function scattered(count: number, rateAt: (i: number) => number): number[] {
  const random = seededRandom(count);
  return Array.from({ length: count }, (_, i) => rateAt(i) * (1 + random.normal(0.01)));
}

describe("suddenChange", () => {
  it("sets the best of the last three runs against the median of the usual ones", () => {
    const change = suddenChange(history([...new Array<number>(10).fill(2), 1, 1.2, 1.1]));
    expect(change?.before.flow_m3s).toBe(2);
    expect(change?.now.flow_m3s).toBe(1.2);
    expect(change && hasLost(change, 0.25)).toBe(true);
  });

  it("does not count one weak run or two", () => {
    const change = suddenChange(history([...new Array<number>(10).fill(2), 0.5, 0.5]));
    expect(change && hasLost(change, 0.25)).toBe(false);
  });

  it("is unknown before eight usual runs", () => {
    expect(suddenChange(history(new Array<number>(7).fill(2)))).toBeNull();
    expect(suddenChange(history(new Array<number>(8).fill(2)))).not.toBeNull();
  });

  it("keeps what was usual while the discharge stays blocked", () => {
    const change = suddenChange(history([...new Array<number>(10).fill(2), ...new Array<number>(200).fill(1)]));
    expect(change?.before.flow_m3s).toBe(2);
  });

  it("looks at no rate that is known worse than to 6 %", () => {
    expect(history([1, 2, 3], 0.07)).toEqual(newPumpHistory());
  });
});

describe("slowChange", () => {
  it("sets the last thirty runs against the best thirty", () => {
    const change = slowChange(history(scattered(200, (i) => 2 * (1 - 0.001 * i))));
    // The first thirty have their middle at run 15, the last thirty at run 185.
    expect(change?.before.flow_m3s).toBeCloseTo(2 * 0.985, 1);
    expect(change?.now.flow_m3s).toBeCloseTo(2 * 0.815, 1);
    expect(change && hasLost(change, 0.08)).toBe(true);
  });

  it("finds no loss in runs that only scatter", () => {
    const change = slowChange(history(scattered(500, () => 2)));
    expect(change === null || !hasLost(change, 0.02)).toBe(true);
  });

  it("is unknown until thirty runs stand between the best days and now", () => {
    expect(slowChange(history(new Array<number>(59).fill(2)))).toBeNull();
    expect(slowChange(history(new Array<number>(60).fill(2)))?.before.flow_m3s).toBe(2);
  });
});
