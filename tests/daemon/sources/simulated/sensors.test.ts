import { describe, expect, it } from "vitest";
import type { BasinState } from "../../../../daemon/sources/simulated/basin-model.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import type { SensorOptions } from "../../../../daemon/sources/simulated/sensors.ts";
import { sensors } from "../../../../daemon/sources/simulated/sensors.ts";

const state: BasinState = {
  time_s: 1_772_409_600,
  level_m: 0.25,
  pumpOn: false,
  pumpSince_s: 1_772_409_000,
  pumpFlow_m3s: 0,
  floatOn: false,
  highFloat: false,
  mainsOn: true,
  inflow_m3: 0,
  pumped_m3: 0,
  returned_m3: 0,
  spilled_m3: 0,
  volume_m3: 0.05,
};

function levels(options: SensorOptions, count = 20_000, of: Partial<BasinState> = {}): (number | null)[] {
  const read = sensors(options, seededRandom(3));
  return Array.from({ length: count }, (_, i) => read({ ...state, ...of, time_s: state.time_s + i }).level_m);
}

const known = (values: (number | null)[]) => values.filter((value) => value !== null);

describe("sensors", () => {
  it("shows the level with noise of 1.5 mm in steps of 0.1 mm", () => {
    const errors_m = known(levels({})).map((level_m) => level_m - 0.25);
    const sd_m = Math.sqrt(errors_m.reduce((sum, error) => sum + error ** 2, 0) / errors_m.length);
    expect(sd_m).toBeCloseTo(0.0015, 4);
    for (const error_m of errors_m) expect(Math.abs(error_m * 1e4 - Math.round(error_m * 1e4))).toBeLessThan(1e-6);
  });

  it("wanders slowly when told so: much over minutes, little from one second to the next", () => {
    const values_m = known(levels({ levelNoise_m: 0, levelStep_m: 0, ripple_m: 0, wander_m: 0.002, wander_s: 60 }));
    const rms = (errors_m: number[]) =>
      Math.sqrt(errors_m.reduce((sum, error) => sum + error ** 2, 0) / errors_m.length);
    expect(rms(values_m.map((level_m) => level_m - 0.25))).toBeCloseTo(0.002, 3.3);
    const steps_m = values_m.slice(1).map((level_m, i) => level_m - (values_m[i] ?? 0));
    expect(rms(steps_m)).toBeCloseTo(0.002 * Math.sqrt(2 * (1 - Math.exp(-1 / 60))), 5);
  });

  it("is off by 50 mm in 2 % of the readings when it spikes", () => {
    const spikes = known(levels({ spikeShare: 0.02 })).filter((level_m) => Math.abs(level_m - 0.25) > 0.04);
    expect(spikes.length / 20_000).toBeCloseTo(0.02, 2);
    expect(spikes.some((level_m) => level_m > 0.25) && spikes.some((level_m) => level_m < 0.25)).toBe(true);
  });

  it("shows nothing for five seconds when it drops out", () => {
    const values = levels({ dropOutShare: 0.001, dropOut_s: 5 });
    const silent = values.filter((value) => value === null).length;
    expect(silent / 20_000).toBeCloseTo(0.005, 2);
    const first = values.indexOf(null);
    expect(values.slice(first, first + 5)).toEqual([null, null, null, null, null]);
  });

  it("repeats its last value while it is frozen", () => {
    const values = levels({ frozen: (time_s) => time_s >= state.time_s + 10 }, 20);
    expect(new Set(values.slice(9)).size).toBe(1);
    expect(new Set(values.slice(0, 9)).size).toBeGreaterThan(5);
  });

  it("ripples for some seconds after the pump has stopped", () => {
    const quiet = { levelNoise_m: 0, levelStep_m: 0, ripple_m: 0.004 };
    const ripples_m = known(levels(quiet, 40, { pumpSince_s: state.time_s })).map((level_m) => level_m - 0.25);
    expect(Math.max(...ripples_m.slice(0, 4).map(Math.abs))).toBeGreaterThan(0.0005);
    expect(Math.max(...ripples_m.slice(30).map(Math.abs))).toBeLessThan(0.0000002);
  });

  it("draws no current at rest, a rush at the start, and more the more the pump moves", () => {
    const read = sensors({}, seededRandom(3));
    const current_a = (change: Partial<BasinState>) => read({ ...state, ...change }).pumpCurrent_a ?? Number.NaN;
    const running = { pumpOn: true, pumpSince_s: state.time_s - 5 };
    expect(current_a({})).toBe(0);
    expect(current_a({ pumpOn: true, pumpSince_s: state.time_s })).toBe(14);
    expect(current_a({ ...running, pumpFlow_m3s: 0.002 })).toBeGreaterThan(current_a(running) + 1);
  });
});
