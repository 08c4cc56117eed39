import { describe, expect, it } from "vitest";
import { newLoadByLevel, withTheWater } from "../../../../analysis/cycles/by-signal/load-by-level.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { reading, smallSite, startTime_s } from "../../small-basin.ts";

const besideLoad = () => ({ start_m: 0.3, near_m: 0.02, turns_m: 0.006 });

/** What is said at each second of a load and a level. */
function follow(course: readonly (readonly [number, number])[]) {
  const state = newLoadByLevel();
  return course.map(([load_w, level_m], i) => withTheWater(state, besideLoad, i, load_w, load_w > 75, level_m));
}

const seconds = (n: number, load_w: number, from_m: number, by_m: number) =>
  Array.from({ length: n }, (_, i) => [load_w, from_m + by_m * i] as const);
const rest = seconds(20, 0, 0.298, 0.0001);
const run = seconds(20, 400, 0.3, -0.01);
const low = seconds(40, 0, 0.2, 0);
const fridge = seconds(60, 120, 0.2, 0.0001);
const heater = seconds(60, 350, 0.2, 0.0001);
const said = (all: readonly (boolean | null)[], from: number, to: number) =>
  all.slice(from, to).filter((on) => on === true).length;

describe("a load beside a level", () => {
  it("is the motor's once the water falls with it, and from the next on at once", () => {
    const all = follow([...rest, ...run, ...rest, ...run, ...rest]);
    expect(said(all, 20, 40)).toBe(20);
    expect(all.slice(60, 80)).toEqual(run.map(() => true));
    expect(said(all, 0, 20) + said(all, 40, 60) + said(all, 80, 100)).toBe(0);
  });

  it("is not where it lowers none, nor is a lesser one, while those that lower water are believed", () => {
    const all = follow([...fridge, ...rest, ...run, ...low, ...fridge, ...rest, ...run]);
    expect(said(all, 0, 60)).toBe(0);
    expect(said(all, 80, 100)).toBeGreaterThanOrEqual(17);
    expect(said(all, 140, 200)).toBe(0);
    expect(said(all, 220, 240)).toBe(20);
  });

  it("must lower the water each time, where something else draws about as much", () => {
    const all = follow([...run, ...low, ...heater, ...rest, ...run, ...low, ...heater]);
    expect(said(all, 120, 140)).toBe(0);
    expect(said(all, 140, 160)).toBeGreaterThanOrEqual(17);
    expect(said(all, 200, 260)).toBe(0);
  });

  it.each([120, 400])("is the motor's for as long as the water falls, while %i W draw on", (also_w) => {
    const both = seconds(20, 400 + also_w, 0.3, -0.01);
    const after = seconds(40, also_w, 0.1, 0.0001);
    const all = follow([...seconds(60, also_w, 0.25, 0.0008), ...both, ...after]);
    expect(said(all, 0, 60)).toBe(0);
    expect(said(all, 60, 80)).toBeGreaterThanOrEqual(17);
    expect(said(all, 95, 120)).toBe(0);
  });

  it("is the motor's no longer where less is drawn as the water turns, though it is believed", () => {
    const cycle = [...seconds(20, 800, 0.3, -0.01), ...seconds(40, 400, 0.1, 0.005)];
    const all = follow([...run, ...low, ...seconds(20, 400, 0.2, 0.005), ...cycle, ...cycle, ...cycle]);
    for (const from of [80, 140, 200]) expect(said(all, from, from + 20)).toBeGreaterThanOrEqual(17);
    for (const from of [120, 180, 240]) expect(said(all, from, from + 20)).toBe(0);
  });

  it("is the motor's that its float holds on when the water is gone, and that draws less there", () => {
    expect(said(follow([...rest, ...run, ...seconds(200, 200, 0.1, 0)]), 20, 240)).toBe(220);
  });

  it("is the motor's in a storm that it cannot hold: the water is over where it starts", () => {
    expect(said(follow(seconds(100, 400, 0.3, 0.001)), 0, 100)).toBeGreaterThan(75);
  });

  it("is the motor's where that once lowered the water, and draws less since its discharge is shut", () => {
    const shut = seconds(100, 250, 0.3, 0);
    const all = follow([...rest, ...run, ...rest, ...shut, ...rest, ...shut]);
    expect(said(all, 60, 160) + said(all, 180, 280)).toBe(200);
  });

  it("is not for one spike", () => {
    const spiked = fridge.map(([load_w, level_m], i) => [load_w, i === 30 ? level_m / 5 : level_m] as const);
    expect(said(follow(spiked), 0, 60)).toBe(0);
  });

  it("is believed after a run that was over between two readings, by how low the water is then", () => {
    const brief = [
      [400, 0.2],
      [0, 0.1],
    ] as const;
    expect(follow([...low, ...brief, ...low, ...brief]).filter((on) => on === true)).toHaveLength(1);
  });

  it("is the motor's where a slow meter shows that it runs only once the water is down", () => {
    const late = [...seconds(8, 0, 0.3, -0.025), ...seconds(8, 300, 0.1, 0.0001)];
    const all = follow([...rest, ...late, ...rest, ...late, ...rest, ...run]);
    expect(said(all, 28, 36)).toBeGreaterThan(3);
    expect(said(all, 92, 112)).toBe(20);
  });

  it("is the motor's at once where it comes on as the float closes, until something else has been seen to draw", () => {
    expect(said(follow([...rest, ...run]), 20, 40)).toBe(20);
    expect(said(follow([...fridge, ...rest, ...run]), 80, 100)).toBeLessThan(20);
    expect(said(follow([...rest, ...seconds(300, 120, 0.298, 0)]), 20, 320)).toBeLessThan(31);
  });
});

describe("a fridge on the meter of a motor that seldom starts, beside a level", () => {
  it.each([1, 5])("makes no runs and no findings, read each %i s", (every_s) => {
    const random = seededRandom(7);
    const readings = [];
    let [volume_m3, runs, starts, fridgeOn, until_s] = [0.01, false, 0, false, 0];
    for (let t = 0; t < 2 * 86_400; t += 1) {
      volume_m3 += 1.2e-6 - (runs ? 1.1e-3 : 0);
      if (!runs && volume_m3 >= 0.03) {
        runs = true;
        starts += 1;
      } else if (volume_m3 <= 0.01) runs = false;
      if (t >= until_s) {
        fridgeOn = !fridgeOn;
        until_s = t + (fridgeOn ? 900 + 300 * random.uniform() : 2400 + 600 * random.uniform());
      }
      if (t % every_s !== 0) continue;
      const pumpPower_w = Math.abs(
        ((runs ? 900 : 0) + (fridgeOn ? 120 : 0)) * (1 + random.normal(0.01)) + random.normal(1),
      );
      readings.push(reading(startTime_s + t, { level_m: volume_m3 / 0.1 + random.normal(0.001), pumpPower_w }));
    }
    const { cycles, summary } = analyse(smallSite, readings);
    expect(starts).toBe(9);
    expect(cycles.length).toBe(starts);
    expect(summary.totals.starts).toBe(starts);
    expect(summary.totals.run_s).toBeGreaterThan(19 * starts * 0.85);
    expect(summary.totals.run_s).toBeLessThan(19 * starts * 1.3);
    expect(summary.findings).toEqual([]);
    expect((summary.inflow.mean_lpm ?? Number.NaN) / (1.2e-6 * 60_000)).toBeCloseTo(1, 2);
  });
});
