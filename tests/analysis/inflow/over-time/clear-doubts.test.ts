import { describe, expect, it } from "vitest";
import { newState } from "../../../../analysis/analyzer-state.ts";
import type { Cycle } from "../../../../analysis/cycles/cycle.ts";
import { basinGeometry } from "../../../../analysis/geometry/basin.ts";
import { learnedSlowReturn, learnSlowReturn } from "../../../../analysis/inflow/drain-back/slow-return.ts";
import { clearDoubts } from "../../../../analysis/inflow/over-time/clear-doubts.ts";
import { passInflow } from "../../../../analysis/inflow/over-time/pass-inflow.ts";
import { learnBend } from "../../../../analysis/inflow/rest/rest-shape.ts";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { noSharedErrors } from "../../../../analysis/uncertainty/shared-errors.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";
import { restCourse } from "../rest-course.ts";

/** A rest in which a valve gave way: 4 L within a quarter of a minute, beside 1e-4 m³/s. */
function afterTheValveGaveWay() {
  const state = newState();
  const flow = (flow_m3s: number) => ({ flow_m3s, uFlow_m3s: 1e-6, degreesOfFreedom: 100 });
  const back_m3s = 4e-3 / 15;
  const parts = Array.from({ length: 40 }, (_, i) =>
    i === 20 ? { ...flow(1e-4 + back_m3s), doubt: { kind: "returned" as const, flow_m3s: back_m3s } } : flow(1e-4),
  );
  passInflow(state, noSharedErrors, {}, 0, 600, parts);
  return state;
}

function cycle(startedAt_s: number, drainBack_m3: number | null): Cycle {
  return {
    startedAt_s,
    stoppedAt_s: startedAt_s + 20,
    run_s: 20,
    rest_s: 580,
    startLevel_m: 0.3,
    stopLevel_m: 0.1,
    inflow: null,
    pumpRate: null,
    drainBack_m3,
  };
}

describe("clearDoubts", () => {
  const geometry = basinGeometry(smallSite.basin.geometry);
  const peakAfter = (...back_m3: (number | null)[]) => {
    const state = afterTheValveGaveWay();
    expect(state.peaks.peaks[0]?.inflow_m3s).toBeCloseTo(1e-4 + 4e-3 / 60, 9);
    state.tally.recentCycles.push(...back_m3.map((one, i) => cycle(9000 - 600 * i, one)));
    clearDoubts(state, geometry);
    return state.peaks.peaks[0]?.inflow_m3s;
  };

  it("takes what ran back as a valve gave way out of the peaks, once three stops in a row show as much", () => {
    expect(peakAfter(null, 4e-3, 4.1e-3, 3.9e-3)).toBeCloseTo(1e-4, 9);
  });

  it("leaves it where fewer stops show it, or the latest do not", () => {
    expect(peakAfter(4e-3, 4.1e-3)).toBeGreaterThan(1.5e-4);
    expect(peakAfter(3e-4, 4e-3, 4.1e-3, 3.9e-3)).toBeGreaterThan(1.5e-4);
  });

  it("takes no leak for a new one that a stop has hidden: what came in since stays", () => {
    const state = afterTheValveGaveWay();
    state.doubted.leakKnown = true;
    const { recentCycles } = state.tally;
    for (const back_m3 of [3e-4, 4e-3, 4.1e-3, 3.9e-3]) recentCycles.push(cycle(9000, back_m3));
    clearDoubts(state, geometry);
    recentCycles.shift();
    clearDoubts(state, geometry);
    expect(state.peaks.peaks[0]?.inflow_m3s).toBeGreaterThan(1.5e-4);
  });

  it("takes no bend that the leak itself makes for inflow that slows, where rests before were straight", () => {
    const state = afterTheValveGaveWay();
    const { slow, shape } = state.tracker.memory;
    // 6 L leak back beside inflow that slows by a thousandth of what came in each second: that alone would make the doubt.
    const extra_m3 = (t: number) => 0.006 * (1 - Math.max(0, 1 - t / 120) ** 2);
    const inflowBy_m3 = (t: number) => 0.1 * (1 - Math.exp(-1e-3 * t));
    for (let seed = 1; seed <= 20; seed++)
      learnSlowReturn(slow, restCourse({ extra_m3, inflowBy_m3, seed }), 600, 0.0015 * area_m2);
    expect(learnedSlowReturn(slow)?.bend_m3s2).toBeLessThan(-2e-8);
    state.tracker.memory.leaks = true;
    for (const sums of shape) for (let i = 0; i < 20; i++) learnBend(sums, { value: 1e-13, variance: 1e-26 }, 0);
    clearDoubts(state, geometry);
    expect(state.peaks.peaks[0]?.inflow_m3s).toBeCloseTo(1e-4, 9);
  });

  it("takes nothing back for a leak of more than the pipe can hold, which ground water that all but stops looks like", () => {
    const { readings, mean_lpm } = groundWaterThatAllButStops();
    const { summary } = analyse(smallSite, readings);
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / mean_lpm - 1)).toBeLessThan(0.06);
  });
});

/** Half a day of ground water that comes in a tenth as fast with the basin full as with it empty. */
function groundWaterThatAllButStops() {
  const random = seededRandom(1);
  const readings: Reading[] = [];
  let [level_m, pumpOn, cameIn_m3] = [0.2, false, 0];
  const lasts_s = 12 * 3600;
  for (let t = 0; t < lasts_s; t++) {
    const wet = 1 + 0.3 * Math.sin(t / 9000);
    const inflow_m3s = (wet * 1.5e-4 * (0.31 - level_m)) / 0.21 + 1.5e-5;
    cameIn_m3 += inflow_m3s;
    if (level_m >= 0.3) pumpOn = true;
    else if (level_m <= 0.1) pumpOn = false;
    level_m += (inflow_m3s - (pumpOn ? 1.1e-3 : 0)) / area_m2;
    readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.0012), pumpOn }));
  }
  return { readings, mean_lpm: (cameIn_m3 / lasts_s) * 60_000 };
}
