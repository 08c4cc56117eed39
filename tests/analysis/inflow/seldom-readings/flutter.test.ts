import { describe, expect, it } from "vitest";
import { flutters, isFlutter } from "../../../../analysis/inflow/seldom-readings/flutter.ts";
import type { Mark } from "../../../../analysis/inflow/seldom-readings/over-stretch.ts";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { randomOf } from "../../../truth/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

const active_m3 = 0.02;

/** Volumes in litres; `+` begins a run. */
function marksOf(...litres: (number | `+${number}`)[]): Mark[] {
  let starts = 0;
  return litres.map((each, i) => {
    if (typeof each === "string") starts += 1;
    return { time_s: 10 * i, volume_m3: Number(each) / 1000, ran_s: 0, starts, runs: starts, flutters: 0, on: true };
  });
}

describe("isFlutter", () => {
  it("is a start without the water having been drawn down since the start before", () => {
    expect(isFlutter(marksOf(29, "+30", 29, 28, 29), 0.03, active_m3)).toBe(true);
    expect(isFlutter(marksOf(29, "+30", 20, 12, 24), 0.03, active_m3)).toBe(false);
    // A float may chatter all the way down.
    expect(isFlutter(marksOf(29, "+30", 29, "+29", 28), 0.028, active_m3)).toBe(true);
  });

  it("is not known of the first start, nor of one whose run before lies too far back", () => {
    expect(isFlutter(marksOf(29, 30), 0.03, active_m3)).toBe(false);
    expect(isFlutter([], 0.03, active_m3)).toBe(false);
    expect(isFlutter(marksOf(29, "+30", 29).slice(1), 0.03, active_m3)).toBe(false);
  });
});

describe("flutters", () => {
  it("are two at the least: a single one may be a hand on the float", () => {
    const [mark] = marksOf(30);
    const of = (count: number) => ({ ...(mark as Mark), flutters: count });
    expect([flutters(of(3), of(4)), flutters(of(3), of(5))]).toEqual([false, true]);
  });
});

describe("a float that chatters, read each 10 s", () => {
  it("tells of no cycles, and of no more inflow", () => {
    const [inflow_m3s, pump_m3s] = [2e-4, 6e-4];
    const random = randomOf("a float that chatters, read each 10 s");
    const readings: Reading[] = [];
    let [volume_m3, calls, on] = [0.1 * area_m2, false, false];
    for (let t = 0; t < 6 * 3600; t += 1) {
      if (volume_m3 >= 0.3 * area_m2) calls = true;
      if (volume_m3 <= 0.1 * area_m2) calls = false;
      // For an hour it switches each few seconds as long as it calls well over the stop.
      const chatters = t > 3 * 3600 && t < 4 * 3600 && volume_m3 > 0.18 * area_m2;
      if (!chatters) on = calls;
      else if (random.chance(0.3)) on = calls && random.chance(0.45);
      volume_m3 += inflow_m3s - (on ? pump_m3s : 0);
      const level_m = volume_m3 / area_m2 + 0.0005 * random.normal();
      if (t % 10 === 0) readings.push(reading(startTime_s + t, { level_m, pumpOn: on }));
    }
    const { inflow } = analyse(smallSite, readings).summary;
    const lpm = 60_000;
    expect((inflow.peak["600"]?.lpm ?? 0) / (inflow_m3s * lpm)).toBeLessThan(1.2);
    expect((inflow.peak["3600"]?.lpm ?? 0) / (inflow_m3s * lpm)).toBeCloseTo(1, 1);
  });
});
