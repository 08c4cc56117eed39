import { describe, expect, it } from "vitest";
import { feedLevel, settleLevelRuns } from "../../../../analysis/cycles/by-level/level-runs.ts";
import { newLevelRuns } from "../../../../analysis/cycles/by-level/level-runs-state.ts";
import type { SaidToRun } from "../../../../analysis/cycles/by-level/seldom-contact.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import * as fc from "../../../at-random.ts";
import { courseAt, cycle_s, rest_s } from "../../small-basin.ts";
import { hear } from "../heard.ts";

interface Course {
  readonly interval_s?: number;
  readonly swing_m?: number | null;
  readonly settle?: boolean;
}

/** What is heard of a level that follows `levelAt` for so long. */
function follow(duration_s: number, levelAt: (t: number) => number | null, course: Course = {}) {
  const { interval_s = 1, swing_m = 0.2, settle = true } = course;
  const state = newLevelRuns();
  const heard = hear();
  for (let i = 0; i * interval_s <= duration_s; i++) {
    const level_m = levelAt(i * interval_s);
    if (level_m !== null) feedLevel(state, { swing_m }, i * interval_s, level_m, heard);
  }
  if (settle) settleLevelRuns(state, heard);
  return { heard, state };
}

/** The small basin's course `slower` times as slow, under noise. */
function course(slower = 1, noise_m = 0, seed = 1): (t: number) => number {
  const random = seededRandom(seed);
  return (t) => courseAt(t / slower).level_m + random.normal(noise_m);
}

/** Every run of the course is found, its edges off by no more than `start_s` and `stop_s`. */
function expectEveryRun(
  runs: readonly { readonly startedAt_s: number; readonly stoppedAt_s: number }[],
  count: number,
  [start_s, stop_s]: readonly [number, number],
  slower = 1,
): void {
  expect(runs).toHaveLength(count);
  runs.forEach((run, i) => {
    expect(Math.abs(run.startedAt_s - slower * (i * cycle_s + rest_s))).toBeLessThanOrEqual(start_s);
    expect(Math.abs(run.stoppedAt_s - slower * (i + 1) * cycle_s)).toBeLessThanOrEqual(stop_s);
  });
}

describe("feedLevel where hardly anything comes in and the level wanders", () => {
  /** A run of 20 s every 2500 s, 0.05 mm/s between; the sensor wanders by 2 mm over 20 s. */
  function wandering(seed: number): (t: number) => number {
    const random = seededRandom(seed);
    let wander_m = 0;
    return (t) => {
      const phase_s = t % 2520;
      wander_m = 0.78 * wander_m + random.normal(0.002 * Math.sqrt(1 - 0.78 ** 2));
      const level_m = phase_s < 2500 ? 0.15 + 0.00005 * phase_s : 0.275 - 0.00625 * (phase_s - 2500);
      return level_m + wander_m + random.normal(0.001);
    };
  }

  it("times runs by their fall, not by the highest and the lowest of the level's wandering", () => {
    const { heard } = follow(21 * 2520, wandering(7), { interval_s: 5, swing_m: 0.125 });
    const runs = heard.runs();
    expect(runs).toHaveLength(21 - 1);
    for (const { startedAt_s, stoppedAt_s } of runs) {
      expect(stoppedAt_s - startedAt_s).toBeGreaterThan(9);
      expect(stoppedAt_s - startedAt_s).toBeLessThan(36);
    }
  });

  it("says of a run that two low readings made that the level came back at once", () => {
    const spiked = (t: number) => (t === 1000 || t === 1005 ? 0.15 : 0.27 + (t % 10) * 1e-4);
    const state = newLevelRuns();
    const heard = hear();
    for (let t = 0; t <= 1100; t += 5) feedLevel(state, { swing_m: 0.125 }, t, spiked(t), heard);
    expect(heard.runs()).toHaveLength(1);
    expect(state.cameBack).toBe(true);
  });
});

describe("feedLevel on a saw-tooth without noise", () => {
  it.each([
    [1, 1, 0.2],
    [1, 1, null],
    [10, 10, 0.2],
    [10, 10, null],
    [10, 60, 0.2],
  ])(
    "finds every run of a course %d times as slow, read every %d s, swing between floats %s m",
    (slower, interval_s, swing_m) => {
      const duration_s = slower * 10.5 * cycle_s;
      const { heard } = follow(duration_s, course(slower), { interval_s, swing_m });
      expectEveryRun(heard.runs(), 10, [interval_s, 1.5 * interval_s + 2], slower);
    },
  );
});

describe("feedLevel on a sensor as it is", () => {
  it.each([
    [0.0015, 0.2, 3],
    [0.0015, null, 3],
    [0.005, 0.2, 5],
    [0.005, null, 5],
  ])("finds every run under noise of %d m, swing %s m, its edges within %d s", (noise_m, swing_m, within_s) => {
    const { heard } = follow(20.5 * cycle_s, course(1, noise_m), { swing_m });
    expectEveryRun(heard.runs(), 20, [within_s, within_s]);
  });

  it.each([
    [1, 0.0005],
    [1.7, 0.0005],
    [3.1, 0.0005],
    [1.7, 0.002],
  ])(
    "has no run begin late on the average, read every %d s under noise of %d m: they would all be too short",
    (s, noise_m) => {
      const { heard } = follow(40.5 * cycle_s, course(1, noise_m), { interval_s: s });
      const late_s = heard.runs().map(({ startedAt_s }, i) => startedAt_s - (i * cycle_s + rest_s));
      expect(late_s).toHaveLength(40);
      // Two tenths of a second at the most; a reading within the fall comes half an interval and more after it set out.
      expect(Math.abs(late_s.reduce((sum, value) => sum + value, 0) / late_s.length)).toBeLessThan(0.2);
    },
  );

  it("dates both turns in a storm, where the level rises by 5 mm/s and falls by little more than 1 mm/s", () => {
    // 40 s up and 160 s down, from 0.15 to 0.35 m and back.
    const random = seededRandom(5);
    const storm = (t: number) => {
      const phase_s = t % 200;
      const level_m = phase_s < 40 ? 0.15 + 0.005 * phase_s : 0.35 - 0.00125 * (phase_s - 40);
      return level_m + random.normal(0.001);
    };
    const runs = follow(20.5 * 200, storm).heard.runs();
    const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    expect(runs).toHaveLength(20);
    expect(Math.abs(mean(runs.map(({ startedAt_s }, i) => startedAt_s - (i * 200 + 40))))).toBeLessThan(3);
    expect(Math.abs(mean(runs.map(({ stoppedAt_s }, i) => stoppedAt_s - (i + 1) * 200)))).toBeLessThan(2);
  });

  it("is not misled by single readings 5 or 30 cm off", () => {
    const random = seededRandom(9);
    const smooth = course(1, 0.0015);
    const spiky = (t: number) => {
      const level_m = smooth(t);
      if (random.uniform() > 0.02) return level_m;
      return level_m + (random.uniform() < 0.5 ? -1 : 1) * (random.uniform() < 0.5 ? 0.05 : 0.3);
    };
    expectEveryRun(follow(20.5 * cycle_s, spiky).heard.runs(), 20, [4, 4]);
  });

  it("takes a reading that stands alone for no run, at one every half minute too", () => {
    const random = seededRandom(4);
    const calm = course(4);
    const levelAt = (t: number) => calm(t) + (random.uniform() < 0.01 ? 0.17 * (random.uniform() < 0.5 ? -1 : 1) : 0);
    const { heard } = follow(40 * 4 * cycle_s, levelAt, { interval_s: 30 });
    expect(heard.runs().length).toBeGreaterThanOrEqual(39);
    expect(heard.runs().length).toBeLessThanOrEqual(41);
  });

  it("takes two readings close to each other, both far too high, for no run: no water has gone", () => {
    for (const high of [
      [0, 1],
      [0, 2],
      [0, 1, 3],
    ]) {
      const calm = course(4, 0.002);
      const levelAt = (t: number) => calm(t) + (high.includes((t - 400) / 10) ? 0.16 : 0);
      expectEveryRun(follow(10.5 * 4 * cycle_s, levelAt, { interval_s: 10 }).heard.runs(), 10, [15, 15], 4);
    }
  });

  it("begins a run with its fall, though two spikes close to each other stood out minutes before", () => {
    // Every 5 s, a swing of 120 mm that fills in 40 min and is pumped down in 18 s.
    const random = seededRandom(3);
    const levelAt = (t: number) => {
      const phase_s = t % 2418;
      const level_m = phase_s < 2400 ? 0.155 + 0.00005 * phase_s : 0.275 - (phase_s - 2400) / 150;
      const spiked = phase_s > 2090 && phase_s < 2102;
      return level_m + (spiked ? 0.05 : 0) + random.normal(0.001);
    };
    const runs = follow(2418 * 4 + 300, levelAt, { interval_s: 5, swing_m: 0.12 }).heard.runs();
    expect(runs).toHaveLength(4);
    for (const [i, { startedAt_s }] of runs.entries()) expect(Math.abs(startedAt_s - 2400 - 2418 * i)).toBeLessThan(6);
  });

  it("does so where the level stood highest after the spikes well before the fall, as a sensor that wanders has it", () => {
    const levelAt = (t: number) => {
      const phase_s = t % 2418;
      const level_m = phase_s < 2400 ? 0.155 + 0.00005 * phase_s : 0.275 - (phase_s - 2400) / 150;
      const spike_m = { 2260: 0.04, 2270: 0.08 }[phase_s] ?? 0;
      return level_m + spike_m + 0.006 * Math.exp(-(((phase_s - 2340) / 25) ** 2));
    };
    const runs = follow(2418 * 2 + 300, (t) => levelAt(t), { interval_s: 5, swing_m: 0.12 }).heard.runs();
    expect(runs).toHaveLength(2);
    expect(Math.abs((runs[0]?.startedAt_s ?? 0) - 2400)).toBeLessThan(10);
  });

  it.each([
    // The first three runs show how rough the level is; of water that is back so soon some hardly show.
    [9, 29],
    [13, 36],
  ])(
    "finds runs of a few seconds of which most runs back, two thirds of it in %d s and more and more slowly: %d of 40",
    (time_s, found) => {
      // Every 10 s, a swing of 50 mm that is pumped down in 5 s; 40 mm of it run back.
      const random = seededRandom(5);
      const levelAt = (t: number) => {
        const phase_s = (t + 300) % 307;
        if (phase_s < 5) return 0.22 - 0.01 * phase_s;
        const back_m = 0.04 * (1 - Math.exp(-(phase_s - 5) / time_s));
        return 0.17 + back_m + (0.01 * (phase_s - 5)) / 302 + random.normal(0.001);
      };
      const runs = follow(40 * 307 - 100, levelAt, { interval_s: 10, swing_m: 0.05 }).heard.runs();
      expect(runs.length).toBeGreaterThanOrEqual(found);
      expect(runs.length).toBeLessThanOrEqual(40);
    },
  );

  it("finds the run that follows a bucket poured in", () => {
    // 16 cm within a reading, which starts the pump; it needs half a minute.
    const levelAt = (t: number) => {
      if (t < 1000) return 0.12 + t * 2e-5;
      return t < 1030 ? 0.3 - ((t - 1000) / 30) * 0.2 : 0.1 + (t - 1030) * 2e-5;
    };
    expect(follow(3000, levelAt, { interval_s: 5 }).heard.runs()).toHaveLength(1);
  });

  it.each([
    ["stated", 0.22],
    ["not stated", null],
  ])(
    "finds each run of a storm that fills the basin in four readings, which none of them leaps: levels %s",
    (_, swing_m) => {
      const half_s = 19;
      const count = 100;
      const levelAt = (t: number) => 0.16 + (0.22 * Math.abs(half_s - ((t + half_s) % (2 * half_s)))) / half_s;
      const { heard } = follow(2 * half_s * count, levelAt, { interval_s: 5, swing_m });
      expect(heard.runs().length).toBeGreaterThanOrEqual(count - 2);
    },
  );

  it("finds the runs of a storm in which the basin fills from one reading to the next and is empty at the one after", () => {
    const levelAt = (t: number) => (t < 6000 ? 0.12 + t * 1e-6 : Math.round(t / 60) % 2 === 0 ? 0.12 : 0.28);
    const { heard } = follow(6000 + 12 * 120, levelAt, { interval_s: 60 });
    // The first high reading might be a spike.
    expect(heard.runs().length).toBeGreaterThanOrEqual(10);
  });

  describe("every 5 s in a storm, three or four readings to a rest and to a run", () => {
    const [rest_s, run_s, swing_m] = [19, 16.2, 0.12];
    const stormAt = (t: number) => {
      const phase_s = t < 3000 ? 0 : (t - 3000) % (rest_s + run_s);
      const up = phase_s < rest_s ? phase_s / rest_s : 1 - (phase_s - rest_s) / run_s;
      return t < 3000 ? 0.18 : 0.18 + swing_m * up;
    };
    const runsOf = (levelAt: (t: number) => number) =>
      follow(3000 + 60.9 * (rest_s + run_s), levelAt, { interval_s: 5, swing_m }).heard.runs();

    it("finds each run, and dates it within a reading or so", () => {
      const random = seededRandom(8);
      const runs = runsOf((t) => stormAt(t) + random.normal(0.001));
      expect(runs).toHaveLength(60);
      for (const [i, { startedAt_s, stoppedAt_s }] of runs.entries()) {
        const start_s = 3000 + i * (rest_s + run_s) + rest_s;
        expect(Math.abs(startedAt_s - start_s)).toBeLessThan(6);
        expect(Math.abs(stoppedAt_s - start_s - run_s)).toBeLessThan(8);
      }
    });

    it("parts no run where a reading of its fall is far too low, and makes none of two next to each other", () => {
      const calm = (t: number) => (t < 2400 ? 0.2 + t * 2e-5 : Math.max(0.13, 0.248 - (t - 2400) * 0.006));
      const off: Record<number, number> = { 1000: 0.07, 1005: -0.07, 1500: -0.11, 1510: -0.1, 2410: -0.1 };
      const runs = follow(3000, (t) => calm(t) + (off[t] ?? 0), { interval_s: 5, swing_m }).heard.runs();
      expect(runs).toHaveLength(1);
      expect(Math.abs((runs[0]?.startedAt_s ?? 0) - 2400)).toBeLessThan(6);
    });
  });

  it("finds every run of a sensor that shows whole centimetres", () => {
    const { heard } = follow(20.5 * cycle_s, (t) => Math.round(courseAt(t).level_m * 100) / 100);
    expectEveryRun(heard.runs(), 20, [10, 4]); // a centimetre takes 10 s to fill
  });

  it("finds every run with one reading in three lost", () => {
    const random = seededRandom(3);
    const smooth = course(1, 0.001);
    const { heard } = follow(20.5 * cycle_s, (t) => (random.uniform() < 0.33 ? null : smooth(t)));
    expectEveryRun(heard.runs(), 20, [5, 5]);
  });
});

describe("feedLevel where no pump runs", () => {
  const day_s = 86_400;
  const random = seededRandom(6);

  it.each([
    ["stands", () => 0.2],
    ["rises slowly", (t: number) => 0.1 + (0.4 * t) / day_s],
    ["falls by half a metre in a day", (t: number) => 0.6 - (0.5 * t) / day_s],
    ["follows a tide of 30 cm", (t: number) => 0.3 + 0.15 * Math.sin((2 * Math.PI * t) / 44_700)],
  ])("finds none when groundwater %s", (_, levelAt) => {
    for (const swing_m of [null, 0.6]) {
      const { heard } = follow(day_s, (t) => levelAt(t) + random.normal(0.0015), { interval_s: 10, swing_m });
      expect(heard.runs()).toEqual([]);
    }
  });
});

describe("the samples that feedLevel lets go", () => {
  it("are those that it was given, in order, each after the edge that it belongs behind", () => {
    const { heard } = follow(5 * cycle_s, course(1, 0.0015));
    const times_s = heard.samples().map((sample) => sample.time_s);
    expect(times_s).toEqual([...times_s].sort((a, b) => a - b));
    expect(new Set(times_s).size).toBe(times_s.length);
    // The first and the last two never stand in the middle of a median of five.
    expect(times_s.length).toBeGreaterThanOrEqual(5 * cycle_s - 4);
    for (const { time_s, on } of heard.edges()) {
      const at = heard.all.findIndex((heardOne) => heardOne.what === on && heardOne.time_s === time_s);
      for (const before of heard.all.slice(0, at)) expect(before.time_s).toBeLessThanOrEqual(time_s);
      for (const after of heard.all.slice(at + 1)) expect(after.time_s).toBeGreaterThanOrEqual(time_s);
    }
  });

  it("are let go once and in order though the interval changes, and so do the runs' edges", () => {
    const interval = fc.constantFrom(0.5, 1, 3, 5, 10, 30, 60);
    const stretch = fc.record({ interval_s: interval, count: fc.integer({ min: 1, max: 60 }), lost: fc.boolean() });
    fc.assert(
      fc.property(
        fc.array(stretch, { minLength: 1, maxLength: 12 }),
        fc.constantFrom(null, 0.2),
        (stretches, swing_m) => {
          const state = newLevelRuns();
          const heard = hear();
          let time_s = 0;
          for (const { interval_s, count, lost } of stretches) {
            for (let i = 0; i < count; i++) {
              time_s += interval_s * (lost && i % 3 === 0 ? 2 : 1);
              feedLevel(state, { swing_m }, time_s, courseAt(time_s / 3).level_m, heard);
            }
          }
          settleLevelRuns(state, heard);
          const times_s = heard.samples().map((sample) => sample.time_s);
          expect(times_s).toEqual([...new Set(times_s)].sort((a, b) => a - b));
          for (const { startedAt_s, stoppedAt_s } of heard.runs()) expect(stoppedAt_s).toBeGreaterThan(startedAt_s);
          const edges_s = heard.edges().map((edge) => edge.time_s);
          expect(edges_s).toEqual([...edges_s].sort((a, b) => a - b));
        },
      ),
      { numRuns: 200 },
    );
  });

  it("wait in bounded number, whatever the level does or does not do", () => {
    const courses: readonly ((t: number) => number)[] = [
      () => 0.2,
      (t) => 0.5 - t / 1e6,
      (t) => (t < 2000 ? 0.3 - t * 0.0001 : 0.1), // falls slowly as a large basin does, then stands for good
      (t) => 0.2 + 0.01 * Math.sin(t),
    ];
    for (const levelAt of courses) {
      for (const swing_m of [null, 0.2]) {
        const { state } = follow(20_000, levelAt, { swing_m, settle: false });
        expect(state.waiting.count).toBeLessThanOrEqual(4097);
      }
    }
  });
});

describe("feedLevel where the level falls from sample to sample by no more than its noise", () => {
  it("times runs by how the level goes before and after its turns, not by the highest and the lowest of noisy samples", () => {
    // Fills by 200 mm in 107 s and takes 365 s to empty, as in a storm of three quarters of the pump.
    const [fills_s, empties_s] = [107, 365];
    const count = 20;
    for (const noise_m of [0.003, 0.005, 0.008]) {
      const random = seededRandom(5);
      const levelAt = (t: number) => {
        const phase_s = t % (fills_s + empties_s);
        const share = phase_s < fills_s ? phase_s / fills_s : 1 - (phase_s - fills_s) / empties_s;
        return 0.1 + 0.2 * share + random.normal(noise_m);
      };
      const runs = follow(count * (fills_s + empties_s) + fills_s, levelAt, { interval_s: 10 }).heard.runs();
      expect(runs).toHaveLength(count);
      const mean_s = runs.reduce((sum, run) => sum + run.stoppedAt_s - run.startedAt_s, 0) / count;
      expect(Math.abs(mean_s - empties_s)).toBeLessThan(15);
      runs.forEach(({ startedAt_s, stoppedAt_s }, i) => {
        expect(Math.abs(startedAt_s - i * (fills_s + empties_s) - fills_s)).toBeLessThan(45);
        expect(Math.abs(stoppedAt_s - (i + 1) * (fills_s + empties_s))).toBeLessThan(45);
      });
    }
  });
});

describe("feedLevel where noise hides the turns", () => {
  // A small pump: fills by 130 mm in 105 s, and takes 78 s to empty.
  const [fills_s, empties_s] = [105, 78];
  const levelAt_m = (t: number) => {
    const phase_s = t % (fills_s + empties_s);
    return 0.15 + 0.13 * (phase_s < fills_s ? phase_s / fills_s : 1 - (phase_s - fills_s) / empties_s);
  };
  const middle = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1] as number;

  it.each([
    [1, 0.7, 6],
    [5, 1, 20],
  ])("dates neither start nor stop early or late, read each %i s", (interval_s, middle_s, most_s) => {
    const count = 60;
    const random = seededRandom(7);
    const noisy = (t: number) => levelAt_m(t) + random.normal(0.006);
    const { heard } = follow(count * (fills_s + empties_s) + fills_s, noisy, { interval_s, swing_m: 0.13 });
    // Before the first run it is not known that noise will hide its beginning.
    const runs = heard.runs().slice(1);
    expect(runs).toHaveLength(count - 1);
    const late_s = runs.map(({ startedAt_s }, i) => startedAt_s - (i + 1) * (fills_s + empties_s) - fills_s);
    const early_s = runs.map(({ stoppedAt_s }, i) => stoppedAt_s - (i + 2) * (fills_s + empties_s));
    for (const off_s of [late_s, early_s]) {
      expect(Math.abs(middle(off_s))).toBeLessThan(middle_s);
      expect(Math.max(...off_s.map(Math.abs))).toBeLessThan(most_s);
    }
  });

  it.each([
    ["a quick pump in a storm, its few readings smoothed by as many as a run has", 40, 30, 0.17, 4, 0.01, 0],
    ["a slow one, by steps longer than the way from one reading to the next", 500, 400, 0.13, 5, 0.001, 0.005],
  ])("dates %s", (_, rises_s, falls_s, swing_m, interval_s, noise_m, resolution_m) => {
    const count = 50;
    const random = seededRandom(9);
    const state = newLevelRuns();
    const heard = hear();
    for (let t = 0; t <= count * (rises_s + falls_s) + rises_s; t += interval_s) {
      const phase_s = t % (rises_s + falls_s);
      const share = phase_s < rises_s ? phase_s / rises_s : 1 - (phase_s - rises_s) / falls_s;
      const read_m = 0.15 + swing_m * share + random.normal(noise_m);
      const level_m = resolution_m > 0 ? Math.round(read_m / resolution_m) * resolution_m : read_m;
      feedLevel(state, { swing_m, resolution_m }, t, level_m, heard);
    }
    const runs = heard.runs().slice(1);
    expect(runs).toHaveLength(count - 1);
    const late_s = runs.map(({ startedAt_s }, i) => startedAt_s - (i + 1) * (rises_s + falls_s) - rises_s);
    const early_s = runs.map(({ stoppedAt_s }, i) => stoppedAt_s - (i + 2) * (rises_s + falls_s));
    for (const off_s of [late_s, early_s]) expect(Math.abs(middle(off_s))).toBeLessThan(2);
  });

  it("leaves those that may lie on either side of a turn to neither, and gives all others in order", () => {
    const random = seededRandom(8);
    const given = new Set<number>();
    const { heard } = follow(4000, (t) => levelAt_m(t) + random.normal(0.006), { swing_m: 0.13 });
    const [first] = heard.runs();
    for (const { time_s } of heard.samples()) given.add(time_s);
    expect(heard.samples().map(({ time_s }) => time_s)).toEqual([...given].sort((a, b) => a - b));
    const left = Array.from({ length: 3900 }, (_, t) => t).filter(
      (t) => t > (first?.stoppedAt_s ?? 0) && !given.has(t),
    );
    expect(left.length).toBeGreaterThan(0);
    const farthest_s = Math.max(
      ...left.map((t) => {
        const phase_s = t % (fills_s + empties_s);
        return Math.min(Math.abs(phase_s - fills_s), phase_s, fills_s + empties_s - phase_s);
      }),
    );
    expect(farthest_s).toBeLessThan(6);
  });
});

describe("the noise that feedLevel learns", () => {
  it("comes back after the level has stood still for a day", () => {
    const random = seededRandom(2);
    const stands = (t: number) => t > 1000 && t < 87_400;
    const { state } = follow(89_000, (t) => (stands(t) ? 0.2 : 0.2 + random.normal(0.0015)));
    // The median of |second difference| of normal noise is 0.6745·√6 of its deviation.
    expect(state.roughness_m).toBeGreaterThan(0.5 * 0.6745 * Math.sqrt(6) * 0.0015);
  });
});

describe("feedLevel beside a contact that is asked too seldom to time the runs", () => {
  // Every 30 s, a swing of 170 mm: water pours in as the pump starts, so that the fall shows as half of the swing.
  const levels_m = [0.31, 0.312, 0.314, 0.316, 0.318, 0.32, 0.313, 0.238, 0.268, 0.269, 0.27, 0.271, 0.272, 0.273];
  const run = (said: SaidToRun | null) => {
    const state = newLevelRuns();
    const heard = hear();
    for (const [i, level_m] of levels_m.entries()) {
      feedLevel(state, { swing_m: 0.17, said: i >= 6 ? said : null }, 30 * i, level_m, heard);
    }
    settleLevelRuns(state, heard);
    return heard.runs();
  };

  it("takes half a fall for a run where the contact said so meanwhile, and for none where it did not", () => {
    expect(run({ from_s: 180, to_s: 210, over: true })).toHaveLength(1);
    expect(run(null)).toHaveLength(0);
  });

  /** A contact that said 'runs' at the reading `ran` alone, each 30 s. */
  const follow = (levels_m: readonly number[], ran: number) => {
    const state = newLevelRuns();
    const heard = hear();
    for (const [i, level_m] of levels_m.entries()) {
      const said = i < ran ? null : { from_s: 30 * ran, to_s: 30 * Math.min(i, ran + 1), over: i > ran };
      feedLevel(state, { swing_m: 0.22, said }, 30 * i, level_m, heard);
    }
    settleLevelRuns(state, heard);
    return heard;
  };
  const filling_m = [0.32, 0.325, 0.33, 0.335, 0.34];
  const emptied_m = [0.145, 0.15, 0.155, 0.16, 0.165, 0.17];

  it("dates a run by the contact where the level says the same again until long after it", () => {
    const heard = follow([...filling_m, 0.34, 0.34, 0.34, 0.34, 0.34, ...emptied_m], 6);
    expect(heard.runs()).toEqual([{ startedAt_s: 165, stoppedAt_s: 195 }]);
    expect(heard.samples().filter(({ time_s }) => time_s >= 165 && time_s < 300)).toEqual([]);
  });

  it("does so where the first reading of the run had fallen a little already", () => {
    const heard = follow([...filling_m, 0.34, 0.32, 0.32, 0.32, 0.32, ...emptied_m], 6);
    expect(heard.runs()).toEqual([{ startedAt_s: 165, stoppedAt_s: 195 }]);
  });

  it("lets a run that the contact saw begin before the level has fallen, and end before it is seen to be down", () => {
    const heard = follow([...filling_m, 0.34, 0.34, ...emptied_m], 6);
    expect(heard.runs()).toEqual([{ startedAt_s: 165, stoppedAt_s: 195 }]);
  });

  it("keeps the levels of a sensor that stood still and went on to rise: the pump moved nothing", () => {
    const levels_m = [...filling_m, 0.34, 0.34, 0.34, 0.34, 0.345, 0.35, 0.355, 0.36];
    const heard = follow(levels_m, 6);
    expect(heard.runs()).toEqual([]);
    // The first and the last have no neighbour on one side.
    expect(heard.samples().map(({ level_m }) => level_m)).toEqual(levels_m.slice(1, -1));
  });
});

describe("feedLevel where hardly anything comes in after a quick run", () => {
  /** A run of 16 s every 900 s that stops between two readings; the level then stands, and rises after a while. */
  const stopsAfter_s = 16.4;
  const deep_m = 0.008 * stopsAfter_s;
  function standing(noise_m: number, step_m: number, seed: number): (t: number) => number {
    const random = seededRandom(seed);
    return (t) => {
      const phase_s = t % 900;
      const fallen_m = phase_s < 800 ? deep_m * (1 - phase_s / 800) : 0.008 * Math.min(stopsAfter_s, phase_s - 800);
      const level_m = 0.28 - fallen_m + random.normal(noise_m);
      return Math.round(level_m / step_m) * step_m;
    };
  }

  it.each([
    ["noise of 2 mm", 0.002, 1e-4],
    ["steps of 5 mm", 0.001, 0.005],
  ])("dates the stop by where the level came to stand, not by the lowest of what stands: %s", (_, noise_m, step_m) => {
    const { heard } = follow(40 * 900, standing(noise_m, step_m, 5), { swing_m: 0.13 });
    const late_s = heard.runs().map(({ stoppedAt_s }) => (stoppedAt_s % 900) - 800 - stopsAfter_s);
    expect(late_s).toHaveLength(40);
    expect(Math.hypot(...late_s) / Math.sqrt(late_s.length)).toBeLessThan(0.6);
    expect(Math.max(...late_s)).toBeLessThan(2);
  });
});
