import { describe, expect, it } from "vitest";
import { leastLevel_m, levelNoise_m, levelProblem, steadyLevel_m } from "../../../analysis/readings/level-problem.ts";
import { forgetRecentLevels, noteRow, noteSwitching, screenLevel } from "../../../analysis/readings/level-screen.ts";
import { newLevelScreen } from "../../../analysis/readings/level-screen-state.ts";
import { noteLowestStop, screenRun } from "../../../analysis/readings/repeated-levels.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { courseAt } from "../small-basin.ts";

const range = { lowest_m: -0.1, highest_m: 1.1 };
const hour_s = 3600;

/** Screens a level every `interval_s` (null: none came); tells every kind of problem that was seen, and when first. */
function watch(duration_s: number, levelAt: (t: number) => number | null, interval_s = 1) {
  const state = newLevelScreen();
  const problems = new Map<string, number>();
  const passed: (number | null)[] = [];
  for (let t = 0; t < duration_s; t += interval_s) {
    const level_m = levelAt(t);
    passed.push(level_m === null ? null : screenLevel(state, range, t, level_m));
    const problem = levelProblem(state, t);
    if (problem !== null && !problems.has(problem)) problems.set(problem, t);
  }
  return { state, passed, problems };
}

function noisy(noise_m = 0.0015, seed = 1): (t: number) => number {
  const random = seededRandom(seed);
  return (t) => courseAt(t).level_m + random.normal(noise_m);
}

describe("screenLevel", () => {
  it("lets a healthy sensor's levels pass as they are", () => {
    const levelAt = noisy();
    const given: number[] = [];
    const { passed, problems } = watch(2 * hour_s, (t) => {
      given.push(levelAt(t));
      return given.at(-1) ?? null;
    });
    expect(passed).toEqual(given);
    expect([...problems]).toEqual([]);
  });

  it("lets the steps of a coarse sensor pass, which repeats itself without being held", () => {
    const random = seededRandom(2);
    const { passed } = watch(
      2 * hour_s,
      (t) => Math.round((courseAt(t).level_m + random.normal(0.001)) / 0.002) * 0.002,
    );
    expect(passed.filter((level_m) => level_m === null).length).toBeLessThan(0.002 * passed.length);
  });

  it("keeps back what the basin cannot hold, and what is no number", () => {
    const state = newLevelScreen();
    for (const level_m of [-0.11, 1.11, 1e9, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
      expect(screenLevel(state, range, 1, level_m)).toBeNull();
      expect(levelProblem(state, 1)).toBe("out-of-range");
    }
    expect(screenLevel(state, range, 2, -0.05)).toBe(-0.05);
    expect(levelProblem(state, 2)).toBeNull();
  });
});

describe("levelProblem", () => {
  it("does not mind single spikes of 5 cm in one reading of fifty", () => {
    const random = seededRandom(4);
    const levelAt = noisy();
    const { problems } = watch(6 * hour_s, (t) => levelAt(t) + (random.uniform() < 0.02 ? 0.05 : 0));
    expect([...problems]).toEqual([]);
  });

  it("calls a sensor implausible that jumps by 20 cm in one reading of three", () => {
    const random = seededRandom(4);
    const levelAt = noisy();
    const { problems } = watch(hour_s, (t) => levelAt(t) + (random.uniform() < 0.3 ? 0.2 : 0));
    expect([...problems.keys()]).toEqual(["implausible"]);
  });

  it.each([true, false])(
    "takes no turn at a start or stop for a spike, read each 5 s in a storm (signal: %s)",
    (told) => {
      const random = seededRandom(2);
      const state = newLevelScreen();
      const problems = new Set<string | null>();
      let [level_m, on] = [0.2, false];
      for (let t = 0; t < 2 * hour_s; t += 5) {
        // It fills for half a minute and falls for twenty seconds.
        level_m += on ? -0.058 : 0.043;
        if (level_m > 0.38) on = true;
        if (level_m < 0.2) on = false;
        if (told) noteSwitching(state, t, on);
        screenLevel(state, range, t, level_m + random.normal(0.001));
        problems.add(levelProblem(state, t));
      }
      expect([...problems]).toEqual(told ? [null] : [null, "implausible"]);
    },
  );

  it.each([
    { every_s: 1, held: 1 },
    { every_s: 1, held: 2 },
    { every_s: 5, held: 1 },
    { every_s: 5, held: 2 },
  ])(
    "calls a level that jumps about implausible, however a contact flickers: $every_s s, $held",
    ({ every_s, held }) => {
      const random = seededRandom(5);
      const state = newLevelScreen();
      for (let i = 0; i < 400; i += 1) {
        noteSwitching(state, i * every_s, i % (2 * held) < held);
        screenLevel(state, range, i * every_s, 0.3 + random.normal(0.1));
      }
      expect(levelProblem(state, 400 * every_s)).toBe("implausible");
    },
  );

  it("calls a sensor implausible, read every ten seconds, that falls again and again with the pump at rest", () => {
    const afterFoam = (pumped_m: number) => {
      const random = seededRandom(4);
      const state = newLevelScreen();
      for (let t = 0; t < 2 * hour_s; t += 10)
        screenLevel(state, range, t, 0.1 + 2e-5 * t + (random.uniform() < 0.3 ? 0.1 : 0), pumped_m);
      return levelProblem(state, 2 * hour_s);
    };
    expect(afterFoam(0)).toBe("implausible");
    expect(afterFoam(0.2)).toBeNull();
  });

  it.each([
    [1, 80],
    [10, 80],
    [60, 480],
    [300, 2200],
  ])(
    "does not take the turns of a basin read every %d s for jumps, though it fills and empties in %d s",
    (interval_s, slowCycle_s) => {
      const levelAt = noisy();
      const { problems } = watch(2000 * interval_s, (t) => levelAt((t * 220) / slowCycle_s), interval_s);
      expect([...problems]).toEqual([]);
    },
  );

  it("calls a sensor frozen when it repeats itself for ten minutes, and well again when it moves", () => {
    const levelAt = noisy();
    const { problems, state, passed } = watch(2 * hour_s, (t) => (t < hour_s ? levelAt(t) : 0.2));
    expect([...problems.keys()]).toEqual(["frozen"]);
    expect(problems.get("frozen")).toBeGreaterThanOrEqual(hour_s + 600);
    expect(problems.get("frozen")).toBeLessThan(hour_s + 620);
    // From the 33rd repeat on the value is kept from the fits already.
    expect(passed.slice(hour_s + 40).every((level_m) => level_m === null)).toBe(true);
    expect(screenLevel(state, range, 2 * hour_s, 0.201)).toBe(0.201);
    expect(levelProblem(state, 2 * hour_s)).toBeNull();
  });

  it.each([
    ["5 mm", 0.005, 0.0015],
    ["1 cm, without noise", 0.01, 0],
    ["25 mm, without noise", 0.025, 0],
  ])("does not call a sensor of coarse steps frozen while the water hardly rises: %s", (_, step_m, noise_m) => {
    const random = seededRandom(5);
    const slow = (t: number) => courseAt(t / 50).level_m + random.normal(noise_m);
    const { problems } = watch(8 * hour_s, (t) => Math.round(slow(t) / step_m) * step_m);
    expect([...problems]).toEqual([]);
  });

  it("calls a sensor of coarse steps frozen whose noise would take it out of any step, and not while it does", () => {
    const random = seededRandom(3);
    const coarse = (level_m: number) => Math.round((level_m + random.normal(0.0007)) / 0.002) * 0.002;
    const rising = (t: number) => 0.1 + 0.00003 * t;
    const last_m = coarse(rising(hour_s));
    const frozen = watch(2 * hour_s, (t) => (t < hour_s ? coarse(rising(t)) : last_m));
    expect(frozen.problems.get("frozen")).toBeLessThan(hour_s + 700);
    // The same water stands in the middle of a step from then on.
    expect([...watch(2 * hour_s, (t) => coarse(t < hour_s ? rising(t) : 0.208)).problems]).toEqual([]);
  });

  it.each([1, 2, 3, 4])(
    "takes no trembling at the edge of a coarse step for noise that leaves its middle, too (%i)",
    (seed) => {
      const random = seededRandom(seed);
      // Hours at the edge of 10 mm, then a run, after which water that hardly rises stands in the middle of a step.
      const levelAt = (t: number) => (t < hour_s ? 0.305 : Math.max(0.1, 0.305 - 0.0125 * (t - hour_s)));
      const coarse = (t: number) => Math.round((levelAt(t) + random.normal(0.001)) / 0.01) * 0.01;
      expect([...watch(4 * hour_s, coarse).problems]).toEqual([]);
    },
  );

  it("does not call a sensor frozen while water runs over the rim, where it stands", () => {
    const levelAt = (t: number) => (t < hour_s ? noisy(0.001, t)(t) : 0.6);
    const problems = (rim_m?: number) => {
      const state = newLevelScreen();
      const found = new Set<string | null>();
      for (let t = 0; t < 2 * hour_s; t += 1) {
        screenLevel(state, rim_m === undefined ? range : { ...range, rim_m }, t, levelAt(t));
        found.add(levelProblem(state, t));
      }
      return [...found];
    };
    expect(problems(0.61)).toEqual([null]);
    expect(problems()).toEqual([null, "frozen"]);
  });

  it("does not call a sensor frozen that has stood since it was first read: in a dry season nothing moves", () => {
    expect([...watch(4 * hour_s, () => 0.15).problems]).toEqual([]);
  });

  it("says that levels drop out when none has come for a minute, and for five intervals of a slow sensor", () => {
    const until = (last_s: number) => (t: number) => (t <= last_s ? courseAt(t).level_m : null);
    expect(watch(1000, until(500)).problems.get("dropping-out")).toBe(561);
    expect(watch(6000, until(3000), 60).problems.get("dropping-out")).toBe(3360);
  });

  it("says so too when silences of seconds come again and again, and not for a few lost readings", () => {
    const levelAt = noisy();
    const often = (t: number) => (t % 30 < 8 ? null : levelAt(t));
    expect([...watch(hour_s, often).problems.keys()]).toEqual(["dropping-out"]);
    const random = seededRandom(7);
    const rarely = (t: number) => (random.uniform() < 0.02 ? null : levelAt(t));
    expect([...watch(2 * hour_s, rarely).problems]).toEqual([]);
  });

  /** Readings of which so many carry a level, or carry a code that is none. */
  function share(missing: number, codes: number, seed = 9, duration_s = 3 * hour_s, from_s = hour_s): string[] {
    const random = seededRandom(seed);
    const levelAt = noisy();
    const state = newLevelScreen();
    const problems = new Set<string>();
    for (let t = 0; t < duration_s; t++) {
      const lost = t >= from_s && random.uniform() < missing;
      const code = t >= from_s && random.uniform() < codes;
      noteRow(state, t, !lost);
      if (!lost) screenLevel(state, range, t, code ? 65.535 : levelAt(t));
      // A single code out of range is out of range while it stands; what counts is what lasts.
      if (!code) problems.add(levelProblem(state, t) ?? "none");
    }
    problems.delete("none");
    return [...problems];
  }

  it("calls a sensor dropping out that leaves 40 % of its readings without a level, where nearly all had one", () => {
    expect(share(0.4, 0)).toEqual(["dropping-out"]);
    expect(share(0.05, 0)).toEqual([]);
  });

  it("does not call a level dropping out that has always come with every third reading only", () => {
    const state = newLevelScreen();
    const levelAt = noisy();
    for (let t = 0; t < 3 * hour_s; t++) {
      noteRow(state, t, t % 3 === 0);
      if (t % 3 === 0) screenLevel(state, range, t, levelAt(t));
      expect(levelProblem(state, t)).toBeNull();
    }
  });

  it("does not call a level dropping out for rows between its own that say when the pump switches", () => {
    const state = newLevelScreen();
    const levelAt = noisy();
    for (let t = 0; t < 5 * hour_s; t += 10) {
      noteRow(state, t, true);
      screenLevel(state, range, t, levelAt(t));
      // In the storm after the second hour it does so between any two levels.
      if (t > 2 * hour_s) noteRow(state, t + 6.5, false);
      expect(levelProblem(state, t)).toBeNull();
    }
  });

  it("calls a sensor out of range that gives the code of a failed measurement in one reading of twenty", () => {
    expect(share(0, 0.05)).toEqual(["out-of-range"]);
    expect(share(0, 0.01)).toEqual([]);
  });

  it("says nothing of a sensor that there is none of", () => {
    expect(levelProblem(newLevelScreen(), 1e6)).toBeNull();
  });
});

describe("an empty basin", () => {
  it("reads its bottom for days, and through runs of the pump, without a frozen sensor", () => {
    const levelAt = noisy();
    const { state, problems } = watch(4 * hour_s, (t) => (t < hour_s ? levelAt(t) : 0));
    expect([...problems]).toEqual([]);
    for (const from_s of [2, 3]) screenRun(state, from_s * hour_s, from_s * hour_s + 20);
    screenLevel(state, range, 4 * hour_s, 0);
    expect(levelProblem(state, 4 * hour_s)).toBeNull();
  });

  it("is none where the pump has run four times, one soon after the other: the sensor is dead", () => {
    const through = (apart_s: number, runs: number) => {
      const { state } = watch(hour_s, () => 0);
      for (let t = hour_s, next_s = 2 * hour_s; t < hour_s + (runs + 1) * apart_s; t += 1) {
        screenLevel(state, range, t, 0);
        if (t !== next_s) continue;
        screenRun(state, t - 20, t);
        next_s += apart_s;
      }
      return levelProblem(state, state.last_s);
    };
    expect(through(hour_s, 4)).toBe("frozen");
    expect(through(hour_s, 3)).toBeNull();
    // Someone tries the pump of a dry basin every now and then.
    expect(through(4 * hour_s, 8)).toBeNull();
  });

  it("is none where the level fell at once to far under where runs stop, and has read nothing for an hour", () => {
    const levelAt = noisy();
    const fallen = (stops_m: readonly number[], from_m: number) => {
      const { state } = watch(hour_s, levelAt);
      noteLowestStop(state, stops_m);
      screenLevel(state, range, hour_s, from_m);
      for (let t = hour_s + 1; t < 2 * hour_s; t += 1) screenLevel(state, range, t, 0);
      expect(levelProblem(state, 2 * hour_s)).toBeNull();
      screenLevel(state, range, 2 * hour_s + 1, 0);
      return levelProblem(state, 2 * hour_s + 1);
    };
    expect(fallen([0.05, 0.05, 0.05], 0.045)).toBe("frozen");
    // Not known where runs stop; or no further down than a pump may go; or from where something had drawn it by and by.
    expect(fallen([0.05, 0.05], 0.045)).toBeNull();
    expect(fallen([0.05, 0.025, 0.05], 0.045)).toBeNull();
    expect(fallen([0.08, 0.08, 0.08], 0.045)).toBeNull();
  });

  it("shows no inflow where the level fell to nothing at once, as where a cable breaks: soon kept back, and no fault yet", () => {
    const levelAt = noisy();
    const { passed, problems } = watch(2 * hour_s, (t) => (t < hour_s ? levelAt(t) : 0));
    expect(passed.at(-1)).toBeNull();
    expect(passed.slice(hour_s).filter((level_m) => level_m !== null).length).toBeLessThan(120);
    expect([...problems]).toEqual([]);
  });
});

describe("forgetRecentLevels", () => {
  it("makes what stood before a gap neither repeated nor silent after it", () => {
    const levelAt = noisy();
    const { state } = watch(2 * hour_s, (t) => (t < hour_s ? levelAt(t) : 0.2));
    forgetRecentLevels(state);
    expect(steadyLevel_m(state)).toBeNull();
    expect(levelProblem(state, 10 * hour_s)).toBeNull();
    expect(screenLevel(state, range, 10 * hour_s, 0.2)).toBe(0.2);
    expect(steadyLevel_m(state)).toBe(0.2);
  });
});

describe("steadyLevel_m", () => {
  it("is the median of the last five levels at a second's interval, of the last three at longer ones", () => {
    const levels_m = [0.1, 0.1, 0.1, 0.9, 0.2, 0.21];
    expect(steadyLevel_m(watch(6, (t) => levels_m[t] ?? null).state)).toBe(0.2);
    const slow = watch(60, (t) => levels_m[t / 10] ?? null, 10);
    expect(steadyLevel_m(slow.state)).toBe(0.21);
  });
});

describe("leastLevel_m", () => {
  const leastOf = (levels_m: readonly number[]) =>
    leastLevel_m(watch(levels_m.length, (t) => levels_m[t] ?? null).state);

  it("is the steady level, also beside a single spike of closely read levels", () => {
    expect(leastOf([0.2, 0.21, 0.2, 0.22, 0.21])).toBe(0.21);
    expect(leastOf([0.4, 0.4, 0.1, 0.41, 0.4])).toBe(0.4);
  });

  it("is the lowest of levels that toss about by more than water can", () => {
    expect(leastOf([0.29, 0.41, 0.12, 0.35, 0.5])).toBe(0.12);
    expect(leastOf([0.28, 0.51, 0.5, 0.52, 0.29])).toBe(0.28);
  });
});

describe("levelNoise_m", () => {
  it("is the deviation of a reading from the smooth course", () => {
    expect(levelNoise_m(watch(hour_s, noisy(0.0015)).state)).toBeCloseTo(0.0015, 3);
    expect(levelNoise_m(watch(hour_s, noisy(0.005)).state)).toBeGreaterThan(0.004);
    expect(levelNoise_m(watch(hour_s, noisy(0.005)).state)).toBeLessThan(0.006);
  });
});
