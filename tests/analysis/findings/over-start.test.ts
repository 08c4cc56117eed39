// Over where the float starts the pump, by the level alone: whether the pump stands or runs.

import { describe, expect, it } from "vitest";
import { leaveOverStart, newOverStart, noteOverStart, type OverStart } from "../../../analysis/findings/over-start.ts";
import { newTrend, noteLevel } from "../../../analysis/readings/trend.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

/**
 * What comes in as a share of what the pump moves: known by rests; how the water rose just before, and rises now; and what is
 * said `for_s` after.
 */
function judged(
  known: number,
  rose: number,
  rises: number | ((t: number) => number),
  for_s = 20,
  wide_m2 = area_m2,
): OverStart {
  const state = newOverStart();
  const trend = newTrend();
  const risen = typeof rises === "number" ? (t: number) => rises * t : rises;
  const level_m = (t: number) => 0.3 + ((t < 0 ? rose * t : risen(t)) * pumpRate_m3s) / wide_m2;
  for (let t = -30; t <= for_s; t += 1) {
    noteLevel(trend, t, level_m(t));
    if (t < 0) continue;
    const now = {
      time_s: t,
      volume_m3: wide_m2 * level_m(t),
      area_m2: wide_m2,
      uLevel_m: 0.0005,
      clearly: t > 2,
      overRim: false,
      atLeast: false,
    };
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

  it("that began to pour in just before goes by that", () => {
    expect(judged(0.02, 1.2, 0.2)).toBe("runs");
    expect(judged(0.02, 0.5, 0.5)).toBe("stands");
    expect(judged(0.02, 0.6, 0.2)).toBe("runs");
    expect(judged(0.02, 0.25, 0.02)).toBe("stands");
    // How fast it poured in is not known well where it began within the seconds that show it.
    expect(judged(0.02, 0.5, 0.3)).toBe("unsure");
    // A sensor that held its value leaps; what came in by rests says enough.
    expect(judged(0.3, 2.7, 0.26)).toBe("stands");
  });

  it("that poured in and comes no more shows a pump that stands, once it has long risen evenly by what came in at rest", () => {
    expect(judged(0.02, 1.2, 0.02)).toBe("unsure");
    expect(judged(0.02, 1.2, 0.02, 1200)).toBe("stands");
    // By as much more than the pump moves, which moves more the higher the water is: that dies away.
    const heldAfter_s = 200;
    const held = (t: number) => 0.05 * heldAfter_s * (1 - Math.exp(-t / heldAfter_s));
    expect(judged(0.02, 1.2, held, 1200)).not.toBe("stands");
    // The wider the basin, the more slowly: by a pump that moves a seventh more for each metre.
    const wide_m2 = 0.4;
    const slow_s = wide_m2 / (0.15 * pumpRate_m3s);
    const slowly = (t: number) => 0.25 * slow_s * (1 - Math.exp(-t / slow_s));
    const after = (t: number) => 0.25 * Math.min(t, 60) + 0.15 * Math.max(0, t - 60);
    expect(judged(0.15, 1.25, slowly, 2400, wide_m2)).not.toBe("stands");
    expect(judged(0.15, 1.25, after, 2400, wide_m2)).toBe("stands");
  });

  it("that rises by more leaves both open", () => {
    expect(judged(0.02, 0.02, 0.2)).toBe("unsure");
  });

  it("is not judged by two readings, nor where nothing is known, and anew once it has been down", () => {
    const state = newOverStart();
    const now = {
      volume_m3: 0.03,
      area_m2,
      uLevel_m: 0.0005,
      clearly: true,
      overRim: false,
      atLeast: false,
      pumpMoves_m3s: pumpRate_m3s,
    };
    noteOverStart(state, { ...now, time_s: 0, cameIn_m3s: null }, newTrend());
    expect(state.verdict).toBeNull();
    for (const time_s of [0, 30]) noteOverStart(state, { ...now, time_s, cameIn_m3s: inflow_m3s }, newTrend());
    expect(state.verdict).toBe("open");
    noteOverStart(state, { ...now, time_s: 60, cameIn_m3s: inflow_m3s }, newTrend());
    expect(state.verdict).toBe("stands");
    leaveOverStart(state);
    expect(state).toEqual(newOverStart());
  });

  it("is judged by two readings after one that was nearly as high, if it rises evenly; not once it has been at the rim", () => {
    const rise = (times_s: readonly number[], wasAtRim: boolean): OverStart => {
      const state = newOverStart();
      for (const time_s of times_s) {
        const volume_m3 = 0.03 + 0.5 * pumpRate_m3s * time_s;
        const now = {
          time_s,
          volume_m3,
          area_m2,
          uLevel_m: 0.03,
          clearly: time_s > 0,
          overRim: wasAtRim && time_s === 0,
        };
        noteOverStart(
          state,
          { ...now, cameIn_m3s: 0.5 * pumpRate_m3s, pumpMoves_m3s: pumpRate_m3s, atLeast: false },
          newTrend(),
        );
      }
      return state.verdict;
    };
    expect(rise([0, 15, 30], false)).toBe("stands");
    expect(rise([15, 30], false)).toBe("open");
    expect(rise([0, 15, 30], true)).toBe("open");
  });
});

interface Trouble {
  /** What comes in at a time and a level, as a share of what the pump moves. */
  readonly inflow: (t: number, level_m: number) => number;
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
    level_m = Math.min(0.6, level_m + ((inflow(t, level_m) - (on ? 1 : 0)) * pumpRate_m3s) / area_m2);
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

  it("so it is where quick cycles pass for noise", () => {
    expect(toldOf({ inflow: storm(0.6), sticksAt_s: 13_000, interval_s: 15 })).toContain("float-stuck-off");
  });

  it.each([10, 20])(
    "a float that sticks while water pours in that ends just over the start is told, read each %d s",
    (interval_s) => {
      const inflow = (t: number, level_m: number) => (t > 8000 && level_m > 0.25 && level_m < 0.33 ? 0.5 : 0.02);
      const told = toldOf({ inflow, sticksAt_s: 8000, interval_s });
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
