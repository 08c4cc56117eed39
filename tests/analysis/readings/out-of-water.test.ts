import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { screenLevel } from "../../../analysis/readings/level-screen.ts";
import { newLevelScreen } from "../../../analysis/readings/level-screen-state.ts";
import { isOutOfWater, newOutOfWater, noteOutOfWater } from "../../../analysis/readings/out-of-water.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, courseAt, cycle_s, reading, smallSite, startTime_s } from "../small-basin.ts";

/** Whether it is out after these levels, one a second, of a basin whose pump stops at 0.1 m. */
function out(
  levels_m: readonly number[],
  { pumped_m = 0, every_s = 1, runs = [] as readonly boolean[] | null } = {},
): boolean {
  const state = newOutOfWater();
  let [last_m, last_s] = [Number.NaN, Number.NaN];
  for (const [i, level_m] of levels_m.entries()) {
    noteOutOfWater(
      state,
      { last_m, last_s, lowestStop_m: 0.1 },
      i * every_s,
      level_m,
      pumped_m,
      runs && (runs[i] ?? false),
    );
    [last_m, last_s] = [level_m, i * every_s];
  }
  return isOutOfWater(state);
}

/** Whether it is out when it falls to 60 mm after it has read the first level for long and the second once, the pump at rest. */
function isOutAfter([stands_m, once_m]: [number, number]): boolean {
  const state = newLevelScreen();
  const levels_m = [...Array.from({ length: 20 }, (_, i) => stands_m + 0.001 * (i % 2)), once_m, 0.06];
  levels_m.forEach((level_m, i) => {
    state.lowestStop_m = 0.1;
    screenLevel(state, { lowest_m: -0.1, highest_m: 1.1 }, i, level_m, 0, false);
  });
  return isOutOfWater(state.outOfWater);
}

describe("a level sensor", () => {
  it("is out of the water when it falls far under the stop level at once, the pump at rest", () => {
    expect(out([0.2, 0.005, 0.006])).toBe(true);
    expect(out([0.2, 0.08, 0.08])).toBe(false);
    expect(out([0.2, 0.005, 0.006], { every_s: 10 })).toBe(true);
    expect(out([0.2, 0.05, 0.051], { every_s: 10 })).toBe(true);
  });

  it("is, read less often, where it falls to the bottom, which no run that was missed has reached", () => {
    expect(out([0.2, 0.05, 0.051], { every_s: 20 })).toBe(false);
    expect(out([0.2, 0.005, 0.006], { every_s: 60 })).toBe(true);
    expect(out([0.2, 0.005, 0.006], { every_s: 120 })).toBe(false);
  });

  it("is, too, when it falls there by more than the pump can have moved; not by less, nor where that is unknown", () => {
    expect(out([0.2, 0.04, 0.041], { pumped_m: 0.12, every_s: 10 })).toBe(true);
    expect(out([0.2, 0.04, 0.041], { pumped_m: 0.18, every_s: 10 })).toBe(false);
    expect(out([0.2, 0.04, 0.041], { pumped_m: Number.POSITIVE_INFINITY })).toBe(false);
  });

  it("is at the bottom whatever the pump moves, unless one that has not been seen at rest runs on for 10 min", () => {
    const pumped_m = Number.POSITIVE_INFINITY;
    const low = [0.2, ...new Array<number>(11).fill(0)];
    const running = low.map(() => true);
    expect(out(low.slice(0, 11), { pumped_m, every_s: 60, runs: running })).toBe(true);
    expect(out(low, { pumped_m, every_s: 60, runs: running })).toBe(false);
    expect(out(low, { pumped_m, every_s: 60, runs: running.with(4, false) })).toBe(true);
    expect(out(low, { pumped_m, every_s: 60, runs: null })).toBe(false);
  });

  it("is not where one spike comes back to water that is down already, but is where it falls from a spike and from the water", () => {
    expect(isOutAfter([0.06, 0.15])).toBe(false);
    expect(isOutAfter([0.15, 0.15])).toBe(true);
    expect(isOutAfter([0.15, 0.25])).toBe(true);
  });

  it("is not at the bottom where a pump has drawn the water, of which it reads something now and then", () => {
    const pumped_m = Number.POSITIVE_INFINITY;
    for (const read of [
      [0.2, 0.004, 0.003, 0.003],
      [0.2, 0, 0.002, 0],
    ]) {
      expect(out(read, { pumped_m, every_s: 60, runs: [true, true, false, false] })).toBe(false);
    }
  });

  it("is not when the water sinks there by and by, as noisy as it may be", () => {
    expect(out([0.1, 0.085, 0.065, 0.085, 0.065])).toBe(false);
  });

  it("is in it again when it is back up, or follows the water from another zero", () => {
    expect(out([0.2, 0.005, 0.2])).toBe(false);
    expect(out([0.2, 0.005, 0.025, 0.045, 0.066])).toBe(false);
  });
});

describe("a sensor that is lifted out for twenty minutes", () => {
  const random = seededRandom(4);
  const isOut = (t: number) => t > 10.4 * cycle_s && t < 10.4 * cycle_s + 1200;
  const readings: Reading[] = Array.from({ length: 22 * cycle_s }, (_, t) => {
    const { level_m, pumpOn } = courseAt(t);
    return reading(startTime_s + t, { level_m: (isOut(t) ? 0.006 : level_m) + random.normal(0.001), pumpOn });
  });
  const { summary } = analyse(smallSite, readings);

  it("makes no peak when it is hung back", () => {
    // 6 L/min come in, always; the leap back up would be another 20 L at once.
    for (const window of ["60", "600"] as const) expect(summary.inflow.peak[window]?.lpm).toBeLessThan(6.5);
    expect(summary.inflow.mean_lpm).toBeGreaterThan(5.9);
  });

  it("is told, once, and nothing else is", () => {
    expect(summary.findings.map(({ kind, evidence }) => [kind, evidence.problem])).toEqual([
      ["sensor-fault", "out-of-water"],
    ]);
  });
});

describe("the level that stands now", () => {
  const analyzer = createAnalyzer(smallSite);
  const lost_s = startTime_s + 4 * cycle_s + 500;
  const levelAfter = new Map<number, number | null>();
  for (let time_s = startTime_s; time_s <= lost_s + 130; time_s += 1) {
    const { level_m, pumpOn } = courseAt(time_s - startTime_s);
    analyzer.push(reading(time_s, { level_m: time_s > lost_s ? null : level_m, pumpOn }));
    levelAfter.set(time_s - lost_s, analyzer.situation().level_m);
  }

  it("is the last one for a minute after the sensor told one, and then not known", () => {
    expect(levelAfter.get(60)).toBeCloseTo(courseAt(lost_s - startTime_s).level_m, 2);
    expect(levelAfter.get(61)).toBeNull();
    expect(analyzer.situation().levelRate_ms).toBeNull();
  });
});

describe("a sensor that reads 0 for half an hour, read each minute", () => {
  it.each([
    ["in a calm", 2e-5],
    ["in a storm, the pump running at every other reading", 4.3e-4],
  ])("tells of no water that comes all at once when it is well again, and is told of: %s", (_, storm_m3s) => {
    const readings: Reading[] = [];
    let [level_m, on] = [0.1, false];
    for (let t = 0; t < 12 * 3600; t += 1) {
      const inflow_m3s = t < 20_000 ? 2e-5 : storm_m3s;
      on = on ? level_m > 0.1 : level_m >= 0.3;
      level_m += (inflow_m3s - (on ? 1e-3 : 0)) / 0.1;
      const out = t > 30_000 && t < 31_800;
      if (t % 60 === 0) readings.push(reading(startTime_s + t, { level_m: out ? 0 : level_m, pumpOn: on }));
    }
    const { summary } = analyse({ ...smallSite, pump: null }, readings);
    expect(summary.findings.map(({ kind }) => kind)).toEqual(["sensor-fault"]);
    expect((summary.inflow.peak[60]?.lpm ?? 0) / 60_000 / storm_m3s).toBeLessThan(1.3);
  });
});

describe("a pump whose float hangs lower after days, so that it draws to the bottom", () => {
  it("is taken for what it is, read each minute", () => {
    const random = seededRandom(3);
    const readings: Reading[] = [];
    let [level_m, pumpOn] = [0.2, false];
    for (let time_s = 0; time_s < 200 * 3600; time_s += 1) {
      level_m = Math.max(0, level_m + (0.1 - (pumpOn ? 30 : 0)) / 60_000 / area_m2);
      if (level_m >= 0.3) pumpOn = true;
      if (level_m <= (time_s < 100 * 3600 ? 0.1 : 0.006)) pumpOn = false;
      if (time_s % 60 === 0)
        readings.push(reading(startTime_s + time_s, { level_m: Math.max(0, level_m + random.normal(0.001)), pumpOn }));
    }
    expect(analyse(smallSite, readings).summary.findings.map(({ kind }) => kind)).not.toContain("sensor-fault");
  });
});
