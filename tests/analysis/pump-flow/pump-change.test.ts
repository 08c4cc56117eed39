import { describe, expect, it } from "vitest";
import {
  hasLost,
  lastingChange,
  noteComingUp,
  slowChange,
  startsLate,
  suddenChange,
} from "../../../analysis/pump-flow/pump-change.ts";
import { newPumpHistory, noteRate, noteRunTime, noteStart } from "../../../analysis/pump-flow/pump-history.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { quietCycle } from "../findings/view.ts";

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

describe("lastingChange", () => {
  it("sets the middle of the last eight runs against the usual ones, so that a few read wrongly do not count", () => {
    const usual = new Array<number>(20).fill(2);
    const change = lastingChange(history([...usual, 1.3, 1.3, 2.4, 1.3, 1.3, 0.9, 1.3, 1.3]));
    expect(change?.now.flow_m3s).toBeCloseTo(1.3, 6);
    expect(change && hasLost(change, 0.25)).toBe(true);
    const three = lastingChange(history([...usual, 1.3, 1.3, 1.3]));
    expect(three && hasLost(three, 0.25)).toBe(false);
  });

  it("is null before eight runs", () => {
    expect(lastingChange(history(new Array<number>(7).fill(2)))).toBeNull();
  });
});

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

  it("takes rates known worse than to 6 % together, by the mean of their runs' lengths, until they are known to 10 %", () => {
    // Each to 15 %: three are known to 8.7 %. Runs of 10, 15 and 15 s that lift 30 L last 13.3 s in the mean.
    expect(history([3, 2], 0.15).usual_m3s).toEqual([]);
    expect(history([3, 2, 2], 0.15).usual_m3s).toEqual([expect.closeTo(2.25, 9)]);
    expect(history([3, 2, 2], 0.15).usualU_m3s).toEqual([expect.closeTo(0.0866 * 2.25, 3)]);
    expect(history(new Array<number>(50).fill(1), 0.36)).toEqual(newPumpHistory());
  });

  it("compares runs at one level: a metre more of water is so much less lift", () => {
    const state = newPumpHistory();
    const rate = (flow_m3s: number) => ({ flow_m3s, uFlow_m3s: 0.01, degreesOfFreedom: 20 });
    noteRate(state, rate(2), { level_m: 0.2, slope_m2s: 0.5, lateStart_s: null });
    noteRate(state, rate(2.1), { level_m: 0.4, slope_m2s: 0.5, lateStart_s: null });
    expect(state.usual_m3s).toEqual([2, expect.closeTo(2, 9)]);
  });

  it("takes eight runs in a row that move clearly more for the new usual: a pump that was replaced", () => {
    const before = new Array<number>(20).fill(2);
    expect(suddenChange(history([...before, ...new Array<number>(7).fill(3)]))?.before.flow_m3s).toBe(2);
    expect(suddenChange(history([...before, ...new Array<number>(8).fill(3)]))?.before.flow_m3s).toBe(3);
    expect(
      suddenChange(history([...before, 3, 3, 3, 3, 3, 3, 3, 2, ...new Array<number>(7).fill(3)]))?.before.flow_m3s,
    ).toBe(2);
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

  it("tells wear, by and by, from a loss at once, and sums up over how many runs it came", () => {
    const wear = slowChange(history(scattered(300, (i) => 2 * (1 - 0.0008 * Math.max(0, i - 100)))));
    expect(wear?.course).toBe("slow");
    expect(wear?.overRuns).toBeGreaterThan(80);
    const step = slowChange(history(scattered(300, (i) => (i < 180 ? 2 : 1.7))));
    expect(step?.course).toBe("sudden");
    expect(Math.abs((step?.overRuns ?? 0) - 120)).toBeLessThan(5);
  });

  it("sums up no shift in runs that only scatter, and lets one go within a dozen runs of recovery", () => {
    expect(slowChange(history(scattered(800, () => 2)))?.overRuns ?? 0).toBe(0);
    const back = (runs: number) => slowChange(history(scattered(160 + runs, (i) => (i < 80 || i >= 160 ? 2 : 1.75))));
    expect(back(0)?.overRuns).toBeGreaterThan(0);
    expect(back(12)?.overRuns).toBe(0);
  });

  it("sees a slow loss of runs timed in whole seconds as it is, and does not leap by a second's share of a run", () => {
    const random = seededRandom(5);
    const state = newPumpHistory();
    // 36 L in 18 s at first, a fifth less in the end; a second is the eighteenth part of it.
    const moves = (i: number) => 2 * (1 - 0.2 * Math.max(0, Math.min(1, (i - 60) / 400)));
    for (let i = 0; i < 500; i++) {
      const run_s = Math.floor(36 / moves(i) + random.uniform());
      noteRate(state, { flow_m3s: 36 / run_s, uFlow_m3s: 0.035 * moves(i), degreesOfFreedom: 20 });
      if (i < 90) continue;
      const { before, now } = slowChange(state) ?? {};
      // The latest thirty have their middle fifteen runs ago; their mean is known to a per cent.
      expect(Math.abs((now?.flow_m3s ?? 0) / moves(i - 14.5) - 1)).toBeLessThan(0.02);
      expect(Math.abs((before?.flow_m3s ?? 0) / 2 - 1)).toBeLessThan(0.02);
    }
  });

  it("is unknown until thirty runs stand between the best days and now", () => {
    expect(slowChange(history(new Array<number>(59).fill(2)))).toBeNull();
    expect(slowChange(history(new Array<number>(60).fill(2)))?.before.flow_m3s).toBe(2);
  });
});

describe("noteRunTime", () => {
  const cycle = (run_s: number, rest_s: number | null) => ({ ...quietCycle, run_s, rest_s });

  it("tells by how much the last three runs are longer, what comes in meanwhile left out", () => {
    const state = history(new Array<number>(12).fill(2));
    for (let i = 0; i < 8; i++) noteRunTime(state, cycle(20, 180), 0);
    expect(suddenChange(state)?.longer).toBeNull();
    // 18 s without the inflow each time, also in a storm that makes a run of 36 s of it.
    for (let i = 0; i < 3; i++) noteRunTime(state, cycle(36, 36), 0);
    expect(suddenChange(state)?.longer).toBeCloseTo(1, 9);
    for (let i = 0; i < 3; i++) noteRunTime(state, cycle(45, 180), 0);
    expect(suddenChange(state)?.longer).toBeCloseTo(2, 9);
    noteRunTime(state, cycle(500, null), 0);
    expect(suddenChange(state)?.longer).toBeCloseTo(2, 9);
  });

  it("takes runs of a float that starts the pump higher for no longer ones: there is more to lift", () => {
    const state = history(new Array<number>(12).fill(2));
    const from = (startLevel_m: number, run_s: number) =>
      noteRunTime(state, { ...cycle(run_s, 1e9), startLevel_m, stopLevel_m: 0.1 }, 0);
    for (let i = 0; i < 8; i++) from(0.3, 20);
    for (let i = 0; i < 3; i++) from(0.42, 32);
    expect(suddenChange(state)?.longer).toBeCloseTo(1, 6);
    for (let i = 0; i < 3; i++) from(0.2, 20);
    expect(suddenChange(state)?.longer).toBeLessThan(1);
  });

  it("takes off what readings far apart may add by chance", () => {
    const state = history(new Array<number>(12).fill(2));
    for (let i = 0; i < 11; i++) noteRunTime(state, cycle(i < 8 ? 10 : 15, 1e9), 5);
    expect(suddenChange(state)?.longer).toBeCloseTo(1.1, 6);
  });

  it("holds them against runs that were usual, however many in a storm have told no rate since", () => {
    const state = newPumpHistory();
    const rate = (flow_m3s: number) => noteRate(state, { flow_m3s, uFlow_m3s: 0.01, degreesOfFreedom: 9 });
    const take = (runs: number, run_s: number, flow_m3s: number | null) => {
      for (let i = 0; i < runs; i++) {
        noteRunTime(state, cycle(run_s, 1e9), 0);
        if (flow_m3s !== null) rate(flow_m3s);
      }
    };
    take(12, 20, 2);
    take(60, 32, null);
    take(3, 32, 1.25);
    expect(suddenChange(state)?.longer).toBeCloseTo(1.6, 6);
    const change = suddenChange(state);
    expect(change && hasLost(change, 0.25)).toBe(true);
  });

  it("tells by how much runs are longer than in the best days", () => {
    const state = newPumpHistory();
    for (let i = 0; i < 70; i++) {
      noteRunTime(state, cycle(i < 30 ? 20 : 25, 1e9), 1);
      noteRate(state, { flow_m3s: i < 30 ? 2 : 1.6, uFlow_m3s: 0.01, degreesOfFreedom: 9 });
    }
    expect(slowChange(state)?.longer).toBeCloseTo(1.25, 6);
  });
});

describe("startsLate", () => {
  const late = (...starts_s: (number | null)[]) => {
    const state = newPumpHistory();
    for (const lateStart_s of starts_s) {
      noteRate(
        state,
        { flow_m3s: 1, uFlow_m3s: 0.01, degreesOfFreedom: 9 },
        { level_m: null, slope_m2s: 0, lateStart_s },
      );
    }
    return startsLate(state);
  };
  const well = Array.from({ length: 8 }, () => 0);

  it("is true when two of the last five runs moved little for four seconds or more", () => {
    expect(late(...well, 9, 0, 0, 0, 4)).toBe(true);
    expect(late(...well, 9, 0, 0, 0, 3.9)).toBe(false);
    expect(late(...well, 9, 9, 0, 0, 0, 0)).toBe(false);
    expect(late(...well, 9, null, null, null, null, null, 9)).toBe(true);
  });

  it("learns nothing of how a pump starts from runs of which nothing is known", () => {
    const state = newPumpHistory();
    for (let i = 0; i < 8; i += 1) noteStart(state, null, 40);
    for (let i = 0; i < 5; i += 1) noteStart(state, 9, 20);
    expect(startsLate(state)).toBe(false);
  });

  it("is over with runs that took far less time, of which levels are too few to tell how they began", () => {
    const told = [30, 50].map((run_s) => {
      const state = newPumpHistory();
      for (const lateStart_s of [...well, 9, 9]) noteStart(state, lateStart_s, lateStart_s > 0 ? 60 : 20);
      for (let i = 0; i < 4; i += 1) noteStart(state, null, run_s);
      return startsLate(state);
    });
    expect(told).toEqual([false, true]);
  });

  it("is true of a pump that few levels tell of, where runs begin late and take far longer than before", () => {
    const told = [20, 60].map((run_s) => {
      const state = newPumpHistory();
      for (let i = 0; i < 12; i += 1) noteRunTime(state, { ...quietCycle, run_s: i < 8 ? 20 : run_s, rest_s: 600 }, 5);
      for (let i = 0; i < 4; i += 1) noteStart(state, 30, run_s);
      noteComingUp(state);
      return startsLate(state);
    });
    expect(told).toEqual([false, true]);
  });

  it("is none of a pump that was never seen to start at once: the sensor is slow", () => {
    expect(late(...Array.from({ length: 40 }, () => 6))).toBe(false);
    expect(late(...Array.from({ length: 40 }, (_, i) => (i % 5 === 0 ? 0 : 6)))).toBe(false);
  });
});
