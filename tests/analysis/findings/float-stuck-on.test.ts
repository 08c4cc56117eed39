import { describe, expect, it } from "vitest";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { floatStuckOn, usualStop_m } from "../../../analysis/findings/float-stuck-on.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { courseAt, cycle_s, reading, rest_s, smallSite, startTime_s } from "../small-basin.ts";
import { openSince, viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) =>
  floatStuckOn.holds(viewOf({ pumpRunning: true, ...change }), null);

describe("float-stuck-on", () => {
  it("is true when the pump runs with the water clearly under the stop level: 5 mm, or three deviations of the level", () => {
    expect(holds({ level_m: 0.0951 })).toBe(false);
    expect(holds({ level_m: 0.0949 })).toBe(true);
    expect(holds({ level_m: 0.0949, levelNoise_m: 0.003 })).toBe(false);
    expect(holds({ level_m: 0.0909, levelNoise_m: 0.003 })).toBe(true);
    expect(holds({ level_m: 0.05, pumpRunning: false })).toBe(false);
  });

  it("cannot be told by a level that is only said again, or of before a silence; once told it stands meanwhile", () => {
    const old = { pumpRunning: true, level_m: 0.05, levelIsOld: true };
    expect(holds(old)).toBeNull();
    expect(floatStuckOn.holds(viewOf(old), openSince())).toBe(true);
  });

  it("is true when the water has stood at the stop level for longer than a storm holds it there: 90 s", () => {
    expect(holds({ level_m: 0.1, atStopFor_s: 89 })).toBe(false);
    expect(holds({ level_m: 0.1, atStopFor_s: 90 })).toBe(true);
    expect(holds({ level_m: 0.1, atStopFor_s: 299, closelyRead: false })).toBe(false);
    expect(holds({ level_m: 0.1, atStopFor_s: 300, closelyRead: false })).toBe(true);
  });

  it("waits longer where the pump hardly gained on what comes in: three times as long as the last centimetre took", () => {
    expect(holds({ level_m: 0.1, atStopFor_s: 599, cameToStopIn_s: 200 })).toBe(false);
    expect(holds({ level_m: 0.1, atStopFor_s: 600, cameToStopIn_s: 200 })).toBe(true);
    expect(holds({ level_m: 0.0949, atStopFor_s: 20, cameToStopIn_s: 200 })).toBe(true);
  });

  it("is not told of a pump that a storm nearly outdoes, whose float trips 4 mm low", () => {
    expect(kinds(lastRun(0.00003, 0.096))).not.toContain("float-stuck-on");
  });

  it("is not told of a sensor that was set 20 mm lower, in a storm that holds the water there", () => {
    expect(kinds(lastRun(0.00003, 0.103, 0, -0.02))).not.toContain("float-stuck-on");
  });

  it("is told of such a one as soon as the water is under where runs stop by its reading", () => {
    expect(kinds(lastRun(0.01, 0.09, 60, -0.02))).toContain("float-stuck-on");
  });

  it("goes by where most of the latest runs stopped, at least three, and no more than 60 mm under the stated level", () => {
    const stop_m = (stops_m: readonly number[], told: readonly Finding[] = []) =>
      usualStop_m(
        smallSite,
        stops_m.map((stopLevel_m, i) => ({ startedAt_s: 1000 * i, stoppedAt_s: 1000 * i + 100, stopLevel_m })),
        told,
      );
    const all = (m: number) => Array<number>(8).fill(m);
    expect(stop_m([0.081, 0.08, 0.079, 0.08, 0.08, 0.1, 0.1, 0.1])).toBeCloseTo(0.08);
    expect(stop_m([0.05, 0.05, 0.05, 0.1, 0.1, 0.1, 0.1, 0.1])).toBe(0.1);
    expect(stop_m([0.05, 0.05])).toBe(0.1);
    expect(stop_m(all(0.041))).toBe(0.041);
    expect(stop_m(all(0.039))).toBe(0.1);
    expect(stop_m(all(0.12))).toBe(0.1);
    // Those in which a float was told to hold the pump on say nothing of where it lets it stop.
    const told = all(0).map((_, i) => ({
      ...openSince(1000 * i + 50),
      kind: "float-stuck-on" as const,
      to_s: 1000 * i + 130,
    }));
    expect(stop_m(all(0.08), told)).toBe(0.1);
    expect(stop_m(all(0.08), told.slice(4))).toBe(0.08);
    expect(stop_m(all(0.08), [{ ...openSince(50), kind: "float-stuck-on" }])).toBe(0.1);
  });

  it("is told of one that has the water down at once and runs on, its intake 2 mm under the stop level", () => {
    expect(kinds(lastRun(0.01, 0.098, 300))).toEqual(["float-stuck-on"]);
  });

  it("takes no gap that the water came down in for the time that it took", () => {
    const fallsFrom_s = startTime_s + 8 * cycle_s + rest_s;
    const gone = ({ time_s }: Reading) => time_s > fallsFrom_s + 5 && time_s < fallsFrom_s + 1805;
    expect(kinds(lastRun(0.01, 0.098, 2400).filter((row) => !gone(row)))).toEqual(["float-stuck-on"]);
  });

  it("stays open until the pump stops or has a centimetre of water again", () => {
    const open = (change: Parameters<typeof viewOf>[0]) =>
      floatStuckOn.holds(viewOf({ pumpRunning: true, ...change }), openSince());
    expect(open({ level_m: 0.109 })).toBe(true);
    expect(open({ level_m: 0.111 })).toBe(false);
    expect(open({ level_m: 0.05, pumpRunning: false })).toBe(false);
  });

  it("lasts longer than a float takes that is a little late", () => {
    expect(floatStuckOn.onDelay_s).toBe(30);
  });

  it("cannot be told without a level, a stop level or the pump's state, nor by the level alone", () => {
    expect(holds({ level_m: null })).toBeNull();
    expect(holds({ pumpRunning: null, level_m: 0.05 })).toBeNull();
    const site = { ...smallSite, basin: { ...smallSite.basin, stopLevel_m: null } };
    expect(holds({ site, level_m: 0.05 })).toBeNull();
    expect(holds({ pumpInferred: true, level_m: 0.05 })).toBeNull();
  });
});

/**
 * Whole cycles, then a run that brings the water down at some speed, stands there for some time, and stops; by a sensor that
 * is off by as much as it is said from the fourth cycle on.
 */
function lastRun(fall_ms: number, to_m: number, stands_s = 0, off_m = 0): Reading[] {
  const random = seededRandom(1);
  const sound_s = 8 * cycle_s + rest_s;
  const run_s = (0.3 - to_m) / fall_ms + stands_s;
  return Array.from({ length: Math.round(sound_s + run_s) + 100 }, (_, after_s) => {
    const into_s = after_s - sound_s;
    const course = courseAt(after_s);
    const level_m = Math.max(to_m, 0.3 - fall_ms * into_s) + 0.001 * Math.max(0, into_s - run_s);
    const now = into_s < 0 ? course : { level_m, pumpOn: into_s < run_s };
    const zero_m = after_s < 3.5 * cycle_s ? 0 : off_m;
    return reading(startTime_s + after_s, { level_m: now.level_m + zero_m + random.normal(0.001), pumpOn: now.pumpOn });
  });
}

function kinds(readings: Reading[]): string[] {
  const { said } = analyse(smallSite, readings);
  return said.findings.filter(({ change }) => change === "began").map(({ finding }) => finding.kind);
}
