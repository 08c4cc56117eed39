import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { type RiseSoFar, type RiseWatchSetting, riseWatch } from "../../../analysis/sizing/rise-watch.ts";

const geometry = basinGeometry({ shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0 });
const setting: RiseWatchSetting = { geometry, uGeometry: 0, wanted: 0.05 };
const inflow_m3s = 5 / 60_000;
const rise_ms = inflow_m3s / geometry.area_m2(0);

/** A generator of known course, so that the test is the same every time; about normal, standard deviation 1. */
function noise(seed: number): () => number {
  let state = seed;
  const uniform = () => {
    state = (state * 1_103_515_245 + 12_345) % 2_147_483_648;
    return state / 2_147_483_648;
  };
  return () => Array.from({ length: 12 }, uniform).reduce((sum, each) => sum + each, -6);
}

function watched(seconds: number, level: (time_s: number) => number | null, over = setting): RiseSoFar[] {
  const watch = riseWatch(over);
  return Array.from({ length: seconds }, (_, i) => watch.push(1000 + i, level(i)));
}

function untilEnough(level: (time_s: number) => number): RiseSoFar {
  const watch = riseWatch(setting);
  let found = watch.push(1000, level(0));
  for (let i = 1; i < 300 && !found.enough; i++) found = watch.push(1000 + i, level(i));
  return found;
}

describe("the hand test by a live level", () => {
  it("finds the inflow within what it says, nineteen times in twenty, and then has enough", () => {
    let held = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const draw = noise(seed * 7919);
      const { inflow, within, enough } = untilEnough((i) => 0.15 + rise_ms * i + 0.0015 * draw());
      const flow_m3s = inflow?.flow_m3s ?? Number.NaN;
      if (enough && Math.abs(flow_m3s - inflow_m3s) <= (within ?? 0) * flow_m3s) held += 1;
    }
    expect(held).toBeGreaterThan(0.9 * 60);
  });

  it("waits until the water that runs back is through", () => {
    const runsBack = (i: number) => 0.15 + rise_ms * i + 0.012 * (1 - Math.exp(-i / 2));
    const last = watched(120, runsBack).at(-1);
    expect((last?.inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 2);
  });

  it("has nothing to say at first, and never enough before a minute", () => {
    const course = watched(71, (i) => 0.15 + rise_ms * i);
    expect(course[5]).toMatchObject({ watched_s: 0, inflow: null, enough: false });
    expect(course[65]).toMatchObject({ watched_s: 55, enough: false, remaining_s: 5 });
    expect(course[70]).toMatchObject({ watched_s: 60, enough: true, remaining_s: 0 });
  });

  it("does not believe the straight steps of a coarse sensor", () => {
    const coarse = (i: number) => 0.15 + 0.005 * Math.floor((rise_ms * i) / 0.005);
    const [early, late] = [watched(40, coarse).at(-1), watched(600, coarse).at(-1)];
    expect(early?.within).toBeGreaterThan(0.1);
    expect(late?.enough).toBe(true);
    expect(Math.abs((late?.inflow?.flow_m3s ?? 0) / inflow_m3s - 1)).toBeLessThan(late?.within ?? 0);
  });

  it("ends when the water falls, for then a pump runs, and keeps what it had", () => {
    const course = watched(140, (i) => 0.15 + rise_ms * Math.min(i, 100) - 0.01 * Math.max(0, i - 100));
    expect(course.at(-1)).toMatchObject({ over: "fell" });
    expect((course.at(-1)?.inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 1);
  });

  it("takes one wild reading for neither the inflow nor the pump", () => {
    const last = watched(120, (i) => (i === 60 ? 0.9 : 0.15 + rise_ms * i)).at(-1);
    expect(last?.over).toBeNull();
    expect((last?.inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 3);
  });

  it("ends when no level comes for a minute", () => {
    expect(watched(140, (i) => (i < 60 ? 0.15 + rise_ms * i : null)).at(-1)?.over).toBe("silent");
  });

  it("is never surer than the basin is known", () => {
    const last = watched(1200, (i) => 0.15 + rise_ms * i, { ...setting, uGeometry: 0.03 }).at(-1);
    expect(last).toMatchObject({ enough: false, remaining_s: null });
    expect(last?.within).toBeCloseTo(1.96 * 0.03, 3);
  });
});
