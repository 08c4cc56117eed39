import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../../../analysis/geometry/basin.ts";
import type { BasinModelOptions, Fault, TrueCycle } from "../../../../daemon/sources/simulated/basin-model.ts";
import { basinModel } from "../../../../daemon/sources/simulated/basin-model.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

/** 0.2 m² of free water, floats at 0.35 m and 0.15 m (40 L between them), 6 L/min in, 120 L/min out. */
const options: BasinModelOptions = {
  geometry: basinGeometry({ shape: "rectangular", width_m: 0.4, length_m: 0.5, occupiedArea_m2: 0 }),
  startLevel_m: 0.35,
  stopLevel_m: 0.15,
  highLevel_m: 0.5,
  overflowLevel_m: 0.75,
  inflow_m3s: () => 1e-4,
  pumpFlow_m3s: () => 2e-3,
  startTime_s: 1_772_409_600,
  initialLevel_m: 0.15,
  random: seededRandom(1),
};

function play(change: Partial<BasinModelOptions>, duration_s: number) {
  const cycles: TrueCycle[] = [];
  const model = basinModel({ ...options, onCycle: (cycle) => cycles.push(cycle), ...change });
  model.advanceTo(options.startTime_s + duration_s);
  return { state: model.state, cycles };
}

const fromMinute = (from: number, to: number, fault: Fault) => (time_s: number) => {
  const minute = (time_s - options.startTime_s) / 60;
  return minute >= from && minute < to ? fault : null;
};

describe("basinModel", () => {
  it("loses no water: what is in it is what came in and back, less what was pumped and spilled", () => {
    const wild = {
      inflow_m3s: (time_s: number, level_m: number) => 1e-3 * (1.3 + Math.sin(time_s / 400)) * (1 - level_m),
      drainBack_m3: 5e-4,
      leak_m3: 2e-3,
      floatRepeatability_m: 0.003,
      fault: (time_s: number): Fault => (time_s % 4000 < 600 ? "power-cut" : null),
    };
    const { state, cycles } = play(wild, 86_400);
    expect(cycles.length).toBeGreaterThan(500);
    expect(state.spilled_m3).toBeGreaterThan(0.1);
    const balance_m3 = state.inflow_m3 + state.returned_m3 - state.pumped_m3 - state.spilled_m3;
    expect(Math.abs(state.volume_m3 - 0.15 * 0.2 - balance_m3)).toBeLessThan(1e-9);
  });

  it("rests for as long as 40 L take at 6 L/min, and runs until they are gone again", () => {
    const { cycles } = play({ spinUp_s: 1e-9 }, 7200);
    for (const cycle of cycles.slice(1)) {
      expect(cycle.rest_s).toBeCloseTo(400, 4);
      expect(cycle.stoppedAt_s - cycle.startedAt_s).toBeCloseTo(40 / 1.9, 3); // 2 L/s out, 0.1 L/s in
      expect(cycle.restInflow_m3s).toBeCloseTo(1e-4, 11);
    }
    expect(cycles.length).toBe(16); // one every 421 s, the seventeenth not complete
  });

  it("takes its spin-up to come to full flow, and half of that flow is lost meanwhile", () => {
    const quick = play({ spinUp_s: 1e-9 }, 1000).cycles[0];
    const slow = play({ spinUp_s: 2 }, 1000).cycles[0];
    const run_s = (cycle: TrueCycle | undefined) => (cycle?.stoppedAt_s ?? 0) - (cycle?.startedAt_s ?? 0);
    expect(run_s(slow) - run_s(quick)).toBeCloseTo(1 / 0.95, 2); // 2 L less, at 1.9 L/s net
    expect(slow?.pumpRate_m3s).toBeCloseTo(2e-3, 8);
  });

  it("lets back what stood in the pipe within a few seconds, and counts it apart from the inflow", () => {
    const { cycles } = play({ drainBack_m3: 5e-4, drainBack_s: 1.5 }, 7200);
    for (const cycle of cycles.slice(1)) {
      expect(cycle.drainBack_m3).toBeCloseTo(5e-4, 7);
      expect(cycle.rest_s).toBeCloseTo(395, 2); // 0.5 L of the 40 L need not run in again
      expect(cycle.restInflow_m3s).toBeCloseTo(1e-4, 11);
    }
  });

  it("lets it back at one rate when told so", () => {
    const steady = { drainBack_m3: 6e-4, drainBack_s: 1.5, drainBackCourse: "steady" } as const;
    const stop_s = (play(steady, 1000).cycles[0]?.stoppedAt_s ?? 0) - options.startTime_s;
    expect(play(steady, stop_s + 1.5).state.returned_m3).toBeCloseTo(3e-4, 6);
    expect(play(steady, stop_s + 3.2).state.returned_m3).toBeCloseTo(6e-4, 9);
  });

  it("returns no more through a leaking valve than time allows", () => {
    const { cycles } = play({ leak_m3: 4e-3, leak_s: 360 }, 7200);
    const rest_s = cycles[2]?.rest_s ?? 0;
    expect(rest_s).toBeLessThan(400);
    expect(cycles[2]?.drainBack_m3).toBeCloseTo(4e-3 * (1 - Math.exp(-rest_s / 360)), 5);
  });

  it("starts a little higher or lower each time when the float does not repeat exactly", () => {
    const rests_s = play({ floatRepeatability_m: 0.002 }, 86_400)
      .cycles.slice(1)
      .map((cycle) => cycle.rest_s ?? 0);
    const mean_s = rests_s.reduce((sum, rest) => sum + rest, 0) / rests_s.length;
    const sd_s = Math.sqrt(rests_s.reduce((sum, rest) => sum + (rest - mean_s) ** 2, 0) / rests_s.length);
    expect(mean_s).toBeCloseTo(400, -0.5);
    // start and stop each 2 mm: √2 · 0.4 L at 0.1 L/s
    expect(sd_s).toBeGreaterThan(4.8);
    expect(sd_s).toBeLessThan(6.6);
  });

  it("is the same to the last digit for the same seed, and differs for another", () => {
    const run = (seed: number) => play({ random: seededRandom(seed), floatRepeatability_m: 0.002 }, 20_000).cycles;
    expect(run(5)).toEqual(run(5));
    expect(run(6)).not.toEqual(run(5));
  });

  it("stays full to the rim when it overflows, and counts what is lost", () => {
    const { state } = play({ fault: () => "float-stuck-off" }, 3600);
    expect(state.level_m).toBeCloseTo(0.75, 12);
    expect(state.spilled_m3).toBeCloseTo(0.36 - 0.12, 9); // an hour at 6 L/min, less 0.6 m of 0.2 m²
    expect(state.highFloat).toBe(true);
    expect(state.pumpOn).toBe(false);
  });

  it("stands still in a power cut with its float up, and pumps when the supply is back", () => {
    const cut = { fault: fromMinute(5, 9, "power-cut") };
    const during = play(cut, 8 * 60).state;
    expect([during.mainsOn, during.floatOn, during.pumpOn]).toEqual([false, true, false]);
    expect(during.level_m).toBeCloseTo(0.15 + (8 * 60 * 1e-4) / 0.2, 9);
    const after = play(cut, 9 * 60 + 2).state;
    expect([after.mainsOn, after.pumpOn]).toEqual([true, true]);
  });

  it("draws air below its intake when the float hangs, and pumps no more than runs in", () => {
    const { state } = play({ fault: fromMinute(6, 60, "float-stuck-on") }, 1800);
    expect(state.pumpOn).toBe(true);
    expect(state.level_m).toBeGreaterThan(0.02);
    expect(state.level_m).toBeLessThan(0.032);
  });

  it("lifts the high float at high water, and drops it a little lower", () => {
    const outage = { fault: fromMinute(0, 15, "pump-tripped") };
    expect(play(outage, 11 * 60).state.highFloat).toBe(false); // 0.48 m
    expect(play(outage, 12 * 60).state.highFloat).toBe(true); // 0.51 m
    expect(play(outage, 16 * 60).state.highFloat).toBe(false);
  });
});
