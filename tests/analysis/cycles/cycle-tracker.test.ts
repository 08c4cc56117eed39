import { describe, expect, it } from "vitest";
import type { Cycle, CycleStage, FlowEstimate } from "../../../analysis/cycles/cycle.ts";
import { trackBreak, trackEdge, trackSample } from "../../../analysis/cycles/cycle-tracker.ts";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import { newTracker } from "../../../analysis/cycles/tracker-state.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { learnRun } from "../../../analysis/pump-flow/learn-capability.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, smallSite } from "../small-basin.ts";

/** A tracker of the small basin, and all that it says. */
function tracker(change: Partial<Omit<TrackerContext, "output">> = {}) {
  const state = newTracker();
  const told: { cycle: Cycle; stage: CycleStage }[] = [];
  const stretches: { from_s: number; to_s: number; parts: readonly FlowEstimate[] | null }[] = [];
  const pumped_m3: (number | null)[] = [];
  const uLengths_m3: number[] = [];
  const starts_s: number[] = [];
  const context: TrackerContext = {
    basin: smallSite.basin,
    geometry: basinGeometry(smallSite.basin.geometry),
    interval_s: 1,
    inferred: false,
    hasLevel: true,
    longInterval_s: 1,
    resolution_m: 0.0001,
    get typicalRun_s() {
      return state.typicalRun_s;
    },
    ...change,
    output: {
      cycle: (cycle, stage) => told.push({ cycle, stage }),
      pumped(_, volume_m3, uLength_m3 = 0) {
        pumped_m3.push(volume_m3);
        uLengths_m3.push(uLength_m3);
      },
      inflow: (from_s, to_s, parts) => stretches.push({ from_s, to_s, parts }),
      start: (time_s) => starts_s.push(time_s),
      leapt: () => {},
      unwatched: () => {},
      unknown: () => {},
      partOfRest: () => {},
    },
  };
  return {
    state,
    told,
    stretches,
    pumped_m3,
    uLengths_m3,
    starts_s,
    edge: (time_s: number, on: boolean) => trackEdge(state, context, time_s, on),
    /** A level every second from just after `from_s` to `to_s`. */
    levels(from_s: number, to_s: number, levelAt: (sinceFrom_s: number) => number) {
      for (let t = from_s + 0.5; t < to_s; t++) trackSample(state, context, t, levelAt(t - from_s));
    },
    break: (time_s: number) => trackBreak(state, context, time_s),
    settled: () => told.filter(({ stage }) => stage === "settled").map(({ cycle }) => cycle),
  };
}

const rising = (from_m: number) => (t: number) => from_m + (inflow_m3s / area_m2) * t;
const falling = (from_m: number) => (t: number) => from_m - ((pumpRate_m3s - inflow_m3s) / area_m2) * t;

/** Rest from 0 to 200 s, run to 220 s, rest to 420 s, run to 440 s. */
function twoCycles(one: ReturnType<typeof tracker>): void {
  one.edge(0, false);
  for (const start_s of [200, 420]) {
    one.levels(start_s - 200, start_s, rising(0.1));
    one.edge(start_s, true);
    one.levels(start_s, start_s + 20, falling(0.3));
    one.edge(start_s + 20, false);
  }
}

describe("the tracker of cycles", () => {
  it("tells a cycle when its run stops, and its final figures when the rest after it has ended", () => {
    const one = tracker();
    twoCycles(one);
    expect(one.told.map(({ cycle, stage }) => [cycle.startedAt_s, stage])).toEqual([
      [200, "stopped"],
      [200, "settled"],
      [420, "stopped"],
    ]);
    one.break(500);
    expect(one.told[3]).toMatchObject({ stage: "settled", cycle: { startedAt_s: 420 } });
    expect(one.starts_s).toEqual([200, 420]);
  });

  it("measures inflow, discharge, levels and water moved by the numbers", () => {
    const one = tracker();
    twoCycles(one);
    one.levels(440, 500, rising(0.1));
    one.break(500);
    for (const cycle of one.settled()) {
      expect((cycle.inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 6);
      expect((cycle.pumpRate?.flow_m3s ?? 0) / pumpRate_m3s).toBeCloseTo(1, 6);
      expect(cycle.startLevel_m).toBeCloseTo(0.3, 6);
      expect(cycle.run_s).toBe(20);
    }
    // 20 cm of 1000 cm² fell, and 20 s of 0.1 L/s came in meanwhile.
    for (const volume_m3 of one.pumped_m3) expect(volume_m3).toBeCloseTo(0.022, 6);
  });

  it("does not know what goes by a run's length better than that, where readings 5 s apart hide what ran back", () => {
    const one = tracker({ interval_s: 5, longInterval_s: 5 });
    twoCycles(one);
    one.break(500);
    // Each of two edges anywhere within an interval (uniform: GUM 4.3.7).
    expect((one.uLengths_m3[0] ?? 0) / pumpRate_m3s).toBeCloseTo(5 / Math.sqrt(6), 2);
    const closely = tracker();
    twoCycles(closely);
    closely.break(500);
    expect(closely.uLengths_m3[0]).toBe(0);
  });

  it("says nothing of a rest in which the level goes down as a pump takes it down, but of one that dries out", () => {
    const [pumped_ms, dries_ms] = [0.0005, 0.00001];
    const rests = [pumped_ms, dries_ms].map((pace_ms) => {
      const one = tracker();
      one.edge(0, false);
      one.levels(0, 200, rising(0.1));
      one.edge(200, true);
      one.levels(200, 220, falling(0.3));
      one.edge(220, false);
      one.levels(220, 420, (t) => 0.3 - pace_ms * t);
      one.edge(420, true);
      return one.stretches.findLast(({ to_s }) => to_s === 420)?.parts;
    });
    expect(rests[0]).toBeNull();
    expect(rests[1]?.[0]?.flow_m3s).toBeCloseTo(-dries_ms * area_m2, 8);
  });

  it("counts as moved what was back before a reading far off could show it, as far as many stops have", () => {
    const one = tracker({ interval_s: 30, longInterval_s: 30 });
    one.state.seldom.rests.push(...new Array(12).fill({ line_m3: 0.014, under_m3: 0.004 }));
    one.edge(0, false);
    for (const start_s of [160, 340]) {
      one.levels(start_s - 160, start_s, rising(0.14));
      one.edge(start_s, true);
      one.levels(start_s, start_s + 20, falling(0.3));
      one.edge(start_s + 20, false);
    }
    one.levels(360, 520, rising(0.14));
    one.break(520);
    // 16 L less afterwards, 2 L that came in meanwhile, and 4 L that ran back at once.
    expect(one.pumped_m3[0]).toBeCloseTo(0.022, 3);
  });

  it("tells nothing of what ran back where the level jumps about more than water can", () => {
    const toldBy = (levelTosses: boolean) => {
      const one = tracker({ interval_s: 30, longInterval_s: 30, levelTosses });
      one.state.seldom.rests.push(...new Array(12).fill({ line_m3: 0.014, under_m3: 0.004 }));
      twoCycles(one);
      return one.settled()[0]?.drainBack_m3;
    };
    expect(toldBy(false)).toBeCloseTo(0.004, 3);
    expect(toldBy(true)).toBeNull();
  });

  it("knows the length of no rest whose beginning it did not see", () => {
    const one = tracker();
    twoCycles(one);
    expect(one.told.map(({ cycle }) => cycle.rest_s)).toEqual([null, null, 200]);
  });

  it("makes no cycle of a run that had begun before it was first seen", () => {
    const one = tracker();
    one.edge(0, true);
    one.levels(0, 10, falling(0.2));
    one.edge(10, false);
    expect(one.told).toEqual([]);
    expect(one.starts_s).toEqual([]);
  });

  it("passes inflow over rests and runs alike, one behind the other", () => {
    const one = tracker();
    twoCycles(one);
    one.break(440);
    const known = one.stretches.filter(({ parts }) => parts !== null);
    expect(known.map(({ from_s, to_s }) => [Math.round(from_s), to_s])).toEqual([
      [1, 200], // from the first level on
      [200, 220],
      [220, 420],
      [420, 440],
    ]);
    for (const { parts } of known) {
      for (const part of parts ?? []) expect(part.flow_m3s / inflow_m3s).toBeCloseTo(1, 6);
    }
  });

  it("forgets across a break what it did not see the end of", () => {
    const one = tracker();
    twoCycles(one);
    one.break(450);
    one.edge(9000, false);
    one.levels(9000, 9100, rising(0.1));
    one.edge(9100, true);
    one.levels(9100, 9120, falling(0.3));
    one.edge(9120, false);
    expect(one.told.at(-1)?.cycle).toMatchObject({ startedAt_s: 9100, rest_s: null });
    expect(one.told.at(-1)?.cycle.inflow?.method).toBe("fill-slope");
  });
});

describe("the tracker in rests of seconds", () => {
  /** Two whole cycles, then a run of so many seconds, a rest of so many, and a run again. */
  function inflowAfter(run_s: number, rest_s: number) {
    const one = tracker();
    twoCycles(one);
    one.levels(440, 640, rising(0.1));
    one.edge(640, true);
    one.levels(640, 640 + run_s, falling(0.3));
    one.edge(640 + run_s, false);
    one.levels(640 + run_s, 640 + run_s + rest_s, rising(0.3 - 0.01 * run_s));
    one.edge(640 + run_s + rest_s, true);
    one.levels(640 + run_s + rest_s, 660 + run_s + rest_s, falling(0.3));
    one.edge(660 + run_s + rest_s, false);
    return { cycle: one.told.at(-1)?.cycle, one };
  }

  it("has no inflow told from a rest shorter than 5 s", () => {
    expect(inflowAfter(20, 4.9).cycle?.inflow).toBeNull();
    expect((inflowAfter(20, 10).cycle?.inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 3);
  });

  it("has none of a rest shorter than 20 s after a run shorter than 6 s: so a float chatters", () => {
    expect(inflowAfter(5, 19).cycle?.inflow).toBeNull();
    expect(inflowAfter(5, 21).cycle?.inflow).not.toBeNull();
  });

  it("takes the inflow known before to have gone on meanwhile", () => {
    const { one } = inflowAfter(20, 4);
    const brief = one.stretches.find(({ from_s }) => from_s === 660);
    expect(brief?.to_s).toBe(664);
    expect((brief?.parts?.[0]?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 6);
  });
});

describe("the tracker without levels", () => {
  it("takes inflow from the active volume over the rest, and discharge from it over the run", () => {
    const one = tracker({ hasLevel: false });
    for (const [time_s, on] of [
      [0, true],
      [10, false],
      [210, true],
      [230, false],
      [430, true],
    ] as const) {
      one.edge(time_s, on);
    }
    const [cycle] = one.settled();
    // 20 L between the floats in 200 s; u: 4 mm at either float on 1000 cm², and half a second at either edge.
    expect(cycle?.inflow?.method).toBe("active-volume");
    expect(cycle?.inflow?.flow_m3s).toBeCloseTo(0.02 / 200, 12);
    const u_m3s = Math.hypot((0.004 * Math.SQRT2 * area_m2) / 200, ((0.02 / 200) * (1 / Math.sqrt(6))) / 200);
    expect(cycle?.inflow?.uFlow_m3s).toBeCloseTo(u_m3s, 12);
    // Out go the 20 L and what comes in, in 20 s of which the start takes half a second.
    expect((cycle?.pumpRate?.flow_m3s ?? 0) * 1000).toBeCloseTo(20 / 19.5 + 0.1, 1);
    expect(cycle?.startLevel_m).toBeNull();
    expect(cycle?.drainBack_m3).toBeNull();
  });

  it("knows no inflow where the floats' levels are not given", () => {
    const one = tracker({ hasLevel: false, basin: { ...smallSite.basin, startLevel_m: null } });
    for (const [time_s, on] of [
      [0, true],
      [10, false],
      [210, true],
      [230, false],
    ] as const) {
      one.edge(time_s, on);
    }
    expect(one.told[0]?.cycle.inflow).toBeNull();
    expect(one.told[0]?.cycle.pumpRate).toBeNull();
    expect(one.stretches.every(({ parts }) => parts === null)).toBe(true);
  });

  it("says no rate of a run about as short as readings are apart", () => {
    const one = tracker({ hasLevel: false, interval_s: 60, longInterval_s: 60 });
    for (const [time_s, on] of [
      [0, true],
      [60, false],
      [660, true],
      [720, false],
      [1320, true],
    ] as const) {
      one.edge(time_s, on);
    }
    expect(one.settled()[0]?.inflow).not.toBeNull();
    expect(one.settled()[0]?.pumpRate).toBeNull();
  });
});

describe("the tracker with water over the rim", () => {
  /** Rises to the rim at 0.6 m in 300 s and stays there for two hours, under a sensor's noise; then the pump starts. */
  function overTheRim() {
    const random = seededRandom(1);
    const one = tracker();
    one.edge(0, true);
    one.levels(0, 20, falling(0.5));
    one.edge(20, false);
    one.levels(20, 7520, (t) => Math.min(0.6, 0.3 + 0.001 * t) + random.normal(0.0015));
    one.edge(7520, true);
    one.levels(7520, 7570, (t) => 0.6 - 0.01 * t + random.normal(0.0015));
    one.edge(7570, false);
    return one;
  }

  it("measures the inflow until it got there, and makes up none for the time over it", () => {
    const known = overTheRim().stretches.filter(({ parts }) => parts !== null);
    expect(known[0]?.from_s).toBe(20);
    expect(known[0]?.to_s).toBeGreaterThan(310);
    expect(known[0]?.to_s).toBeLessThan(330);
    for (const part of known[0]?.parts ?? []) expect(part.flow_m3s / inflow_m3s).toBeCloseTo(1, 1);
  });

  it("does not take those minutes for the mean over the whole rest, nor the volume between the floats", () => {
    const { cycle } = overTheRim().told.at(-1) ?? {};
    expect(cycle?.rest_s).toBe(7500);
    expect(cycle?.inflow).toBeNull();
    expect(cycle?.startLevel_m).toBeGreaterThan(0.57);
  });

  it("does not mind a spike over the rim", () => {
    const one = tracker();
    one.edge(0, true);
    one.edge(10, false);
    one.levels(10, 210, (t) => (t % 20 < 1 ? 0.9 : rising(0.1)(t)));
    one.edge(210, true);
    const [stretch] = one.stretches.filter(({ parts }) => parts !== null);
    expect([stretch?.from_s, stretch?.to_s]).toEqual([10, 210]);
    for (const part of stretch?.parts ?? []) expect(part.flow_m3s / inflow_m3s).toBeCloseTo(1, 6);
  });
});

describe("a run read off levels far apart", () => {
  /** A rest; for ten minutes levels that say 'run' and rise all the same, the first of them far too low; then another rest. */
  function risingRun(inferred: boolean) {
    const one = tracker({ inferred, interval_s: 30, longInterval_s: 30 });
    for (let i = 0; i < 5; i++) {
      learnRun(one.state.capability, { flow_m3s: pumpRate_m3s, uFlow_m3s: 1e-5, degreesOfFreedom: 20 }, 0.2);
    }
    const slowly = (from_m: number) => (t: number) => from_m + 1e-5 * t;
    one.edge(0, false);
    one.levels(0, 3000, slowly(0.2));
    one.edge(3000, true);
    one.levels(3000, 3600, (t) => slowly(0.23)(t) - (t < 120 ? 0.2 : 0));
    one.edge(3600, false);
    one.levels(3600, 6600, slowly(0.236));
    one.edge(6600, true);
    return one.stretches.flatMap(({ parts }) => parts ?? []).map(({ flow_m3s }) => flow_m3s);
  }

  it("is no measure of what comes in where the water went on rising: two wrong levels in a row look like it", () => {
    expect(Math.max(...risingRun(true))).toBeLessThan(2e-6);
  });

  it("is one where a contact says that the pump ran: then so much came in as it moves", () => {
    expect(Math.max(...risingRun(false))).toBeGreaterThan(0.9 * pumpRate_m3s);
  });
});

describe("a run with the water at the rim", () => {
  it("has at least so much coming in as the pump moves, and no more: what went over no level shows", () => {
    const one = tracker();
    for (let i = 0; i < 5; i++) {
      learnRun(one.state.capability, { flow_m3s: pumpRate_m3s, uFlow_m3s: 1e-5, degreesOfFreedom: 20 }, 0.2);
    }
    // Half as much again as the pump moves for some ten minutes: up to the rim at 0.6 m, and down when it is over.
    const rise_ms = (0.5 * pumpRate_m3s) / area_m2;
    one.edge(0, false);
    one.levels(0, 200, rising(0.1));
    one.edge(200, true);
    one.levels(200, 700, (t) => Math.min(0.605, 0.3 + rise_ms * t));
    one.levels(700, 750, falling(0.6));
    one.edge(750, false);
    one.levels(750, 950, rising(0.1));
    one.edge(950, true);
    const atRim = one.stretches
      .filter(({ from_s, to_s }) => from_s >= 200 && to_s <= 750)
      .flatMap(({ from_s, to_s, parts }) =>
        (parts ?? []).map(({ flow_m3s }, i) => ({
          at_s: from_s + ((i + 0.5) * (to_s - from_s)) / (parts ?? []).length,
          flow_m3s,
        })),
      )
      .filter(({ at_s }) => at_s > 350 && at_s < 650);
    expect(atRim.length).toBeGreaterThan(5);
    for (const { flow_m3s } of atRim) expect(Math.abs(flow_m3s / pumpRate_m3s - 1)).toBeLessThan(0.1);
  });
});
