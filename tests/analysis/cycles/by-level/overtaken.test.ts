import { describe, expect, it } from "vitest";
import { feedLevel } from "../../../../analysis/cycles/by-level/level-runs.ts";
import { newLevelRuns } from "../../../../analysis/cycles/by-level/level-runs-state.ts";
import { isOvertaken, newOvertaken } from "../../../../analysis/cycles/by-level/overtaken.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { hear } from "../heard.ts";

interface Storm {
  /** What comes in against what the pump moves, at a time. */
  readonly inflow: (t: number) => number;
  /** How much of its flow the pump moves, at a time; 0 for one without power. */
  readonly pump?: (t: number) => number;
  readonly duration_s: number;
  readonly noise_m?: number;
  readonly interval_s?: number;
  /** Steps of the sensor, and while it says again what it said before. */
  readonly step_m?: number;
  readonly held?: readonly [from_s: number, to_s: number];
}

const [start_m, stop_m] = [0.3, 0.12];
/** How fast the pump lowers the level when nothing comes in. */
const pace_ms = 0.008;

/** The runs of a basin whose float is never wrong, and those that are read off its level. */
function play({ inflow, pump = () => 1, duration_s, noise_m = 0.001, interval_s = 1, step_m = 0, held }: Storm) {
  const random = seededRandom(11);
  const state = newLevelRuns();
  const heard = hear();
  const really: { startedAt_s: number; stoppedAt_s: number }[] = [];
  let [level_m, startedAt_s, said_m] = [0.2, Number.NaN, 0.2];
  for (let t = 0; t <= duration_s; t += 0.5) {
    const runs = !Number.isNaN(startedAt_s);
    if (!runs && level_m >= start_m) startedAt_s = t;
    if (runs && level_m <= stop_m) {
      really.push({ startedAt_s, stoppedAt_s: t });
      startedAt_s = Number.NaN;
    }
    if (t % interval_s === 0) {
      const read_m = level_m + random.normal(noise_m);
      if (held === undefined || t < held[0] || t > held[1])
        said_m = step_m > 0 ? Math.round(read_m / step_m) * step_m : read_m;
      feedLevel(state, { swing_m: start_m - stop_m }, t, said_m, heard);
    }
    level_m += 0.5 * pace_ms * (inflow(t) - (Number.isNaN(startedAt_s) ? 0 : pump(t)));
  }
  return { really, found: heard.runs(), running: state.running };
}

/** A storm that grows from the third hour on, and is over an hour and a half later. */
const storm = (share: number) => (t: number) =>
  0.15 + (share - 0.15) * Math.max(0, Math.sin(Math.min(Math.PI, Math.max(0, (t - 10_090) / 1800))) ** 2);

describe("a pump that is overtaken, by the level alone", () => {
  it.each([1.02, 1.05, 1.2])("runs on while a storm of %f times its flow passes: one run, with its stop", (share) => {
    const { really, found } = play({ inflow: storm(share), duration_s: 18_000 });
    const long = (runs: typeof really) => runs.filter((run) => run.stoppedAt_s - run.startedAt_s > 600);
    expect(long(really)).toHaveLength(1);
    expect(found).toHaveLength(really.length);
    expect(Math.abs((long(found)[0]?.startedAt_s ?? 0) - (long(really)[0]?.startedAt_s ?? 0))).toBeLessThan(5);
    expect(Math.abs((long(found)[0]?.stoppedAt_s ?? 0) - (long(really)[0]?.stoppedAt_s ?? 0))).toBeLessThan(5);
  });

  it("is seen through 3 mm of noise", () => {
    const { really, found } = play({ inflow: storm(1.2), duration_s: 18_000, noise_m: 0.003 });
    expect(found).toHaveLength(really.length);
  });

  it("has stopped where the level leaps from its fall into a rise: the supply failed in mid-run", () => {
    const dead = (t: number) => (t > 11_000 ? 0 : 1);
    const { found, running } = play({ inflow: () => 0.6, pump: dead, duration_s: 11_200 });
    expect(running).toBe(false);
    expect(Math.abs((found.at(-1)?.stoppedAt_s ?? 0) - 11_000)).toBeLessThan(5);
  });

  it("has stopped where the sensor held its value through the stop, and the level rises as it did before the run", () => {
    const sound = { inflow: () => 0.04, duration_s: 9000, noise_m: 0.0015, interval_s: 10, step_m: 0.005 };
    const { startedAt_s = Number.NaN } = play(sound).really.at(-3) ?? {};
    const inRun_s = 10 * Math.ceil((startedAt_s + 5) / 10);
    const { really, found } = play({ ...sound, held: [inRun_s + 1, inRun_s + 89] });
    expect(found).toHaveLength(really.length);
    for (const [i, run] of really.entries())
      expect(Math.abs((found[i]?.stoppedAt_s ?? 0) - run.stoppedAt_s)).toBeLessThan(130);
  });

  it("is none that moves a fifth of its flow from one run to the next, and stops where it always does", () => {
    const blocked = (t: number) => (t > 12_000 ? 0.2 : 1);
    const { really, found } = play({ inflow: () => 0.04, pump: blocked, duration_s: 40_000 });
    expect(found).toHaveLength(really.length);
    expect(Math.abs((found.at(-1)?.stoppedAt_s ?? 0) - (really.at(-1)?.stoppedAt_s ?? 1))).toBeLessThan(5);
  });

  it("is not told before some stops have shown how the level turns at one", () => {
    const { found } = play({ inflow: (t) => storm(1.2)(t + 9_950), duration_s: 6000 });
    expect(found.every((run) => run.stoppedAt_s - run.startedAt_s < 1500)).toBe(true);
  });
});

describe("isOvertaken, of a level that stands down at where the pump stops", () => {
  // It fell by 0.17 m in 30 s, stood for 100 s, and rises by a tenth of a millimetre in a second.
  const fallen = { fallMark_s: 30, fallMark_m: 0.13, mark_s: 140, mark_m: 0.127 };
  const state = { ...newOvertaken(), ...fallen, jump_ms: pace_ms, stops_m: 0.12, stops: 5 };
  const turn = {
    ...{ from_s: 0, from_m: 0.3, near_m: 0.126, nearAt_s: 120, lowest_m: 0.125, lowestAt_s: 130 },
    ...{ pace_ms: 0.0013, rose_ms: 0.0004, time_s: 160, level_m: 0.129 },
  };

  it.each([
    ["is a pump that has stopped, where many readings are close together and noise puts the lowest late", 1, false],
    ["is a storm that came up with the pump, where readings are far apart", 10, true],
  ])("%s", (_, interval_s, overtaken) => {
    expect(isOvertaken(state, { ...turn, interval_s }, start_m - stop_m)).toBe(overtaken);
  });
});
