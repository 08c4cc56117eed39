// Over where the float starts the pump, by the level alone: whether the pump stands or runs.

import { describe, expect, it } from "vitest";
import { leaveOverStart, newOverStart, noteOverStart, type OverStart } from "../../../analysis/findings/over-start.ts";
import { newTrend, noteLevel } from "../../../analysis/readings/trend.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

/** What comes in as a share of what the pump moves: known by rests; how the water rose just before, and rises now. */
function judged(known: number, rose: number, rises: number): OverStart {
  const state = newOverStart();
  const trend = newTrend();
  const level_m = (t: number) => 0.3 + ((t < 0 ? rose : rises) * t * pumpRate_m3s) / area_m2;
  for (let t = -30; t <= 20; t += 1) {
    noteLevel(trend, t, level_m(t));
    if (t < 0) continue;
    const now = { time_s: t, volume_m3: area_m2 * level_m(t), area_m2, uLevel_m: 0.0005, clearly: t > 2 };
    noteOverStart(state, { ...now, cameIn_m3s: known * pumpRate_m3s, pumpMoves_m3s: pumpRate_m3s }, trend);
  }
  return state.verdict;
}

describe("water over the start", () => {
  it("that rises on as it did shows a pump that stands, in a trickle and in a storm", () => {
    expect(judged(0.02, 0.02, 0.02)).toBe("stands");
    expect(judged(0.9, 0.9, 0.85)).toBe("stands");
    expect(judged(0.6, 0.5, 0.5)).toBe("stands");
  });

  it("that rises by far less shows one that runs, be it one that moves less than it did", () => {
    expect(judged(0.9, 0.1, 0.05)).toBe("runs");
    expect(judged(0.45, 0.1, 0.1)).toBe("runs");
  });

  it("that began to pour in just before goes by that, unless it comes no more", () => {
    expect(judged(0.02, 1.2, 0.2)).toBe("runs");
    expect(judged(0.02, 0.5, 0.5)).toBe("stands");
    expect(judged(0.02, 1.2, 0.02)).toBe("stands");
  });

  it("that rises by more leaves both open", () => {
    expect(judged(0.02, 0.02, 0.2)).toBe("unsure");
  });

  it("is not judged by two readings, nor where nothing is known, and anew once it has been down", () => {
    const state = newOverStart();
    const now = { volume_m3: 0.03, area_m2, uLevel_m: 0.0005, clearly: true, pumpMoves_m3s: pumpRate_m3s };
    noteOverStart(state, { ...now, time_s: 0, cameIn_m3s: null }, newTrend());
    expect(state.verdict).toBeNull();
    for (const time_s of [0, 30]) noteOverStart(state, { ...now, time_s, cameIn_m3s: inflow_m3s }, newTrend());
    expect(state.verdict).toBe("open");
    noteOverStart(state, { ...now, time_s: 60, cameIn_m3s: inflow_m3s }, newTrend());
    expect(state.verdict).toBe("stands");
    leaveOverStart(state);
    expect(state).toEqual(newOverStart());
  });
});

interface Trouble {
  /** What comes in at a time, as a share of what the pump moves. */
  readonly inflow: (t: number) => number;
  readonly sticksAt_s?: number;
  readonly interval_s: number;
}

/** What is told, by the level alone. */
function toldOf({ inflow, sticksAt_s = Number.POSITIVE_INFINITY, interval_s }: Trouble): Set<string> {
  const random = seededRandom(7);
  const readings = [];
  let [level_m, on] = [0.1, false];
  for (let t = 0; t < 16_000; t += 1) {
    if (level_m >= 0.3 && t < sticksAt_s) on = true;
    if (level_m <= 0.1) on = false;
    level_m = Math.min(0.6, level_m + ((inflow(t) - (on ? 1 : 0)) * pumpRate_m3s) / area_m2);
    if (t % interval_s === 0) readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.001) }));
  }
  return new Set(analyse(smallSite, readings).summary.findings.map(({ kind }) => kind));
}

const storm = (share: number) => (t: number) => 0.09 + (share - 0.09) * Math.min(1, Math.max(0, (t - 7000) / 5000));

describe("by the level alone", () => {
  it.each([1, 5, 10])(
    "a float that sticks in a storm of half the pump is told as that, read each %d s",
    (interval_s) => {
      const told = toldOf({ inflow: storm(0.5), sticksAt_s: 13_000, interval_s });
      expect(told).toContain("float-stuck-off");
      expect(told).not.toContain("inflow-exceeds-pump");
    },
  );

  it.each([1, 5, 10])("a storm that outgrows the pump is told as that, read each %d s", (interval_s) => {
    const told = toldOf({ inflow: storm(1.1), interval_s });
    expect(told).toContain("inflow-exceeds-pump");
    expect(told).not.toContain("float-stuck-off");
  });

  it.each([1, 5])("a pipe that bursts is not told as a pump that stands, read each %d s", (interval_s) => {
    const told = toldOf({ inflow: (t) => (t > 9100 && t < 10_000 ? 1.2 : 0.09), interval_s });
    expect(told).toContain("inflow-exceeds-pump");
    expect(told).not.toContain("float-stuck-off");
  });
});
