import { describe, expect, it } from "vitest";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import {
  courseAt,
  cycle_s,
  inflow_m3s,
  pumpRate_m3s,
  reading,
  rest_s,
  run_s,
  smallSite,
  startTime_s,
} from "../../small-basin.ts";

const motor_w = 600;

/** What the meter says of a motor that ran as `pumpOn` says, each second up to `time_s`. */
type Meter = (pumpOn: (time_s: number) => boolean, time_s: number) => number;

const meansOver =
  (span_s: number): Meter =>
  (pumpOn, time_s) => {
    let sum_w = 0;
    for (let back_s = 0; back_s < span_s; back_s += 0.5) sum_w += pumpOn(time_s - back_s - 0.25) ? motor_w : 0;
    return (sum_w * 0.5) / span_s;
  };

/** Up at once and down by a part of what is left each second, as what is rectified and smoothed. */
const fallsOff =
  (decay_s: number): Meter =>
  (pumpOn, time_s) => {
    for (let back_s = 0; back_s < 60; back_s += 0.5)
      if (pumpOn(time_s - back_s)) return motor_w * Math.exp(-back_s / decay_s);
    return 0;
  };

const bySlowMeter = (meter: Meter, level: boolean): Reading[] => {
  const random = seededRandom(2);
  return Array.from({ length: 24 * cycle_s }, (_, i) => {
    const after_s = i + 0.4;
    const load_w = meter((time_s) => time_s > 0 && courseAt(time_s).pumpOn, after_s);
    return reading(startTime_s + after_s, {
      level_m: level ? courseAt(after_s).level_m + random.normal(0.001) : null,
      pumpPower_w: Math.max(0, load_w * (1 + random.normal(0.01)) + random.normal(1)),
    });
  });
};

describe("a motor whose meter is slow", () => {
  it.each([
    ["means over 8 s", meansOver(8)],
    ["falls off over 3 s", fallsOff(3)],
  ])("is seen to start and stop as its load begins to move, where the meter %s", (_, meter) => {
    const { cycles, summary } = analyse(smallSite, bySlowMeter(meter, true));
    const known = cycles.slice(8, -1);
    expect(known.length).toBeGreaterThan(12);
    for (const { startedAt_s, stoppedAt_s } of known) {
      const into_s = (startedAt_s - startTime_s) % cycle_s;
      expect(Math.abs(into_s - rest_s)).toBeLessThan(1.6);
      expect(Math.abs(((stoppedAt_s - startTime_s + cycle_s / 2) % cycle_s) - cycle_s / 2)).toBeLessThan(1.6);
    }
    const rate_m3s = known.reduce((sum, { pumpRate }) => sum + (pumpRate?.flow_m3s ?? 0), 0) / known.length;
    expect(Math.abs(rate_m3s / pumpRate_m3s - 1)).toBeLessThan(0.02);
    const inCycles_s = cycles.reduce((sum, cycle) => sum + cycle.run_s, 0);
    expect(Math.abs(summary.totals.run_s - inCycles_s)).toBeLessThan(1.5 * run_s);
  });

  it("tells what comes in without a level", () => {
    const { said } = analyse(smallSite, bySlowMeter(meansOver(8), false));
    const late = said.inflow.slice(-6, -1);
    for (const stretch of late) expect(stretch.inflow_m3s / inflow_m3s).toBeCloseTo(1, 1);
  });
});

describe("a motor read each 5 s", () => {
  it("has run for as long as its runs were, where its load moves again before its start is sure", () => {
    const minute_w = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, motor_w, 0.87 * motor_w];
    const readings = Array.from({ length: 60 * minute_w.length }, (_, i) =>
      reading(startTime_s + 5 * i, { pumpPower_w: minute_w[i % minute_w.length] ?? 0 }),
    );
    const { cycles, summary } = analyse(smallSite, readings);
    const inCycles_s = cycles.reduce((sum, cycle) => sum + cycle.run_s, 0);
    expect(cycles.length).toBeGreaterThan(55);
    expect(Math.abs(summary.totals.run_s - inCycles_s)).toBeLessThan(0.05 * inCycles_s);
  });
});
