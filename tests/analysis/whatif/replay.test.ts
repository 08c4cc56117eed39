import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { ReplayInstallation } from "../../../analysis/whatif/installation.ts";
import { replayInflow } from "../../../analysis/whatif/replay.ts";

/** 1000 cm² of surface, floats at 0.1 and 0.3 m: 20 L between them; the pump moves 1 L/s at any level. */
const basin: ReplayInstallation = {
  basin: { shape: "rectangular", width_m: 0.25, length_m: 0.4, occupiedArea_m2: 0 },
  highLevel_m: 0.45,
  overflowLevel_m: 0.6,
  pumps: [{ name: null, startLevel_m: 0.3, stopLevel_m: 0.1, supply: "mains", power_w: 500 }],
  takesTurns: false,
  flow_m3s: (runs) => 1e-3 * runs.filter((feed) => feed !== null).length,
  battery: null,
  returned: { volume_m3: 0, duration_s: 3 },
  spinUp_s: 0,
  groundHead: null,
};
const [pump] = basin.pumps;
/** 2026-03-02T00:00:00Z */
const epoch_s = 1_772_409_600;

function steady(inflow_m3s: number, duration_s: number, from_s = epoch_s): InflowStretch {
  return { from_s, to_s: from_s + duration_s, inflow_m3s, uInflow_m3s: 0 };
}

describe("replayInflow", () => {
  // MIL-HDBK-1005/9A §2.5.3.6: t = V/Q + V/(D − Q)
  it.each([
    [0.1e-3, 20 / 0.1 + 20 / 0.9],
    [0.5e-3, 80],
    [0.9e-3, 20 / 0.1 + 20 / 0.9],
  ])("starts once a cycle of V/Q + V/(D − Q) at a steady inflow of %f m³/s", (inflow_m3s, cycle_s) => {
    const cycles = 1000;
    const played = replayInflow([steady(inflow_m3s, cycles * cycle_s - 0.01)], basin);
    expect(played.starts).toBe(cycles);
    expect(played.run_s).toBeCloseTo((cycles * cycle_s * inflow_m3s) / 1e-3, 1);
    expect(played.highestLevel_m).toBe(0.3);
  });

  it("counts the most starts in an hour as 15·D/V at half the pump's flow", () => {
    // 40 gpm and 11.016 gal (10 in of an 18 in basin): 54.4662 starts an hour
    const [gpm, gal] = [3.785411784e-3 / 60, 3.785411784e-3];
    const area_m2 = (Math.PI / 4) * 0.4572 ** 2;
    const drawdown_m = (11.016 * gal) / area_m2;
    const round: ReplayInstallation = {
      ...basin,
      basin: { shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0 },
      pumps: [{ ...pump, startLevel_m: 0.1 + drawdown_m }],
      flow_m3s: () => 40 * gpm,
    };
    const played = replayInflow([steady(20 * gpm, 100 * 3600)], round);
    expect(played.starts / 100).toBeCloseTo(54.4662, 1);
    expect(played.mostStartsInAnHour).toBe(55);
  });

  it("runs over when the room above the floats is full, and counts what runs over", () => {
    // 50 L of room from 0.1 to 0.6 m at 2 L/s less 1 L/s from 0.3 m on: 10 s and 30 s
    const played = replayInflow([steady(2e-3, 100)], basin);
    expect(played.overflowFrom_s).toBeCloseTo(epoch_s + 40, 5);
    expect(played.overflow_m3).toBeCloseTo(0.06, 9);
    expect(played.overflow_s).toBeCloseTo(60, 6);
    expect(played.highestLevel_m).toBe(0.6);
    expect(played.aboveHigh_s).toBeCloseTo(75, 6);
  });

  it("lets the water rise in a power cut and starts again by the float's word when it ends", () => {
    const cut = { from_s: epoch_s + 150, to_s: epoch_s + 400 };
    const played = replayInflow([steady(1e-4, 450)], basin, { powerCuts: [cut] });
    expect(played.highestLevel_m).toBeCloseTo(0.1 + 400 * 0.001, 9);
    expect(played.powerCut_s).toBeCloseTo(250, 6);
    expect(played.starts).toBe(1);
    expect(played.run_s).toBeCloseTo((400 * 0.1) / 0.9, 4);
  });

  it("carries on after a cut with a float that still hangs between its levels, as it was", () => {
    const cut = { from_s: epoch_s + 210, to_s: epoch_s + 230 };
    const played = replayInflow([steady(1e-4, 235)], basin, { powerCuts: [cut] });
    expect(played.starts).toBe(2);
  });

  it("runs on a battery until that is empty", () => {
    const backed: ReplayInstallation = {
      ...basin,
      pumps: [{ ...pump, supply: "either" }],
      flow_m3s: ([feed]) => (feed === "battery" ? 0.6e-3 : feed === "mains" ? 1e-3 : 0),
      battery: { runTime_s: 100, regained_ss: 0, idle_ss: 0, power_w: 300 },
    };
    // rises for 200 s, falls at 5 mm/s in 40 s: of the third run 20 s are left
    const cut = { from_s: epoch_s, to_s: epoch_s + 2000 };
    const played = replayInflow([steady(1e-4, 1000)], backed, { powerCuts: [cut] });
    expect(played.pumps[0]?.runOnBattery_s).toBeCloseTo(100, 5);
    expect(played.batteryEmptyFrom_s).toBeCloseTo(epoch_s + 3 * 200 + 2 * 40 + 20, 5);
    expect(played.batteryEmpty_s).toBeCloseTo(1000 - 700, 5);
    expect(played.highestLevel_m).toBeCloseTo(0.3 - 20 * 0.005 + 300 * 0.001, 6);
    expect([played.energy_j, played.batteryEnergy_j]).toEqual([0, expect.closeTo(30_000, 2)]);
  });

  it("loses to the inverter what that draws while the pump rests", () => {
    const backed: ReplayInstallation = {
      ...basin,
      pumps: [{ ...pump, supply: "either" }],
      battery: { runTime_s: 30, regained_ss: 0, idle_ss: 0.1, power_w: null },
    };
    // 20 s go in the 200 s of rest, 10 s are left for the run
    const played = replayInflow([steady(1e-4, 1000)], backed, {
      powerCuts: [{ from_s: epoch_s, to_s: epoch_s + 1000 }],
    });
    expect(played.pumps[0]?.runOnBattery_s).toBeCloseTo(10, 5);
    expect(played.batteryEmptyFrom_s).toBeCloseTo(epoch_s + 210, 5);
  });

  it("charges the battery while the mains are on", () => {
    const backed: ReplayInstallation = {
      ...basin,
      pumps: [{ ...pump, supply: "either" }],
      battery: { runTime_s: 10, regained_ss: 0.01, idle_ss: 0, power_w: null },
    };
    // each longer than a cycle, so that each empties it; a thousand seconds fill it again
    const cuts = [0, 2000].map((at_s) => ({ from_s: epoch_s + at_s, to_s: epoch_s + at_s + 300 }));
    const played = replayInflow([steady(1e-4, 4000)], backed, { powerCuts: cuts });
    expect(played.pumps[0]?.runOnBattery_s).toBeCloseTo(20, 5);
  });

  it("counts what runs back as work for the next run, and never as inflow", () => {
    const leaky = { ...basin, returned: { volume_m3: 0.002, duration_s: 4 } };
    const played = replayInflow([steady(1e-4, 20_000)], leaky);
    // 180 s up after the 4 s at 0.6 L/s (2.4 L), then 22.2 s down
    const cycle_s = 4 + (20 - 2.4) / 0.1 + 20 / 0.9;
    expect(played.starts).toBe(1 + Math.floor((20_000 - 200) / cycle_s));
    expect(played.inflow_m3).toBeCloseTo(2, 9);
    expect(played.returned_m3).toBeCloseTo(0.002 * (played.starts - 1), 2);
  });

  it("moves nothing while the pump comes up to speed", () => {
    const slow = replayInflow([steady(1e-4, 225)], { ...basin, spinUp_s: 1 });
    expect(slow.highestLevel_m).toBeCloseTo(0.301, 9);
    expect(slow.run_s).toBeCloseTo(1 + 20.1 / 0.9, 4);
  });

  it("lets less come in the higher the water stands, where the ground holds back", () => {
    const held = { ...basin, groundHead: { nothing_m: 0.5, recorded_m: 0.2 } };
    const cut = { from_s: epoch_s, to_s: epoch_s + 10_000 };
    const played = replayInflow([steady(1e-4, 1000)], held, { powerCuts: [cut] });
    // dh/dt = 0.001 (0.5 − h)/0.3: h = 0.5 − 0.4 e^(−t/300)
    expect(played.lastLevel_m).toBeCloseTo(0.5 - 0.4 * Math.exp(-1000 / 300), 9);
    expect(played.inflow_m3).toBeCloseTo(0.1 * (played.lastLevel_m - 0.1), 9);
  });

  it("shares the starts of two pumps that take turns", () => {
    const two: ReplayInstallation = {
      ...basin,
      pumps: [pump, { ...pump, name: "second", startLevel_m: 0.4, stopLevel_m: 0.2 }],
      takesTurns: true,
    };
    const played = replayInflow([steady(1e-4, 10 * (200 + 20 / 0.9) - 1)], two);
    expect(played.pumps.map(({ starts }) => starts)).toEqual([5, 5]);
  });

  it("calls the second pump when the first does not hold the water", () => {
    const two: ReplayInstallation = { ...basin, pumps: [pump, { ...pump, startLevel_m: 0.4, stopLevel_m: 0.2 }] };
    const played = replayInflow([steady(1.5e-3, 3600)], two);
    expect(played.highestLevel_m).toBe(0.4);
    expect(played.pumps[0]?.starts).toBe(1);
    expect(played.pumps[1]?.mostStartsInAnHour).toBeGreaterThan(40);
  });

  it("comes to rest where the pump just holds the inflow", () => {
    const weak = { ...basin, flow_m3s: ([feed]: readonly unknown[], level_m: number) => (feed ? 1e-3 * level_m : 0) };
    const played = replayInflow([steady(4e-4, 5000)], weak);
    expect(played.highestLevel_m).toBeCloseTo(0.4, 9);
    expect(played.run_s).toBeGreaterThan(4900);
  });

  it("holds its breath over a gap", () => {
    const gap_s = 500;
    const played = replayInflow([steady(1e-4, 100), steady(1e-4, 100, epoch_s + 100 + gap_s)], basin);
    expect(played.lastLevel_m).toBeCloseTo(0.3, 9);
    expect([played.played_s, played.to_s - played.from_s]).toEqual([expect.closeTo(200, 6), 700]);
  });

  it("follows a table of levels and volumes from row to row", () => {
    const rows = [
      { level_m: 0, volume_m3: 0 },
      { level_m: 0.2, volume_m3: 0.02 },
      { level_m: 0.5, volume_m3: 0.08 },
      { level_m: 0.7, volume_m3: 0.1 },
    ];
    const tabled = replayInflow(
      [steady(1e-4, 700)],
      { ...basin, basin: { shape: "table", rows } },
      {
        powerCuts: [{ from_s: epoch_s, to_s: epoch_s + 1e6 }],
      },
    );
    expect(tabled.highestLevel_m).toBeCloseTo(0.5, 9); // from 10 L to 80 L
  });

  it("stays at the rim without losing a drop", () => {
    const wet = Array.from({ length: 200 }, (_, i) => steady(i % 3 === 0 ? 3e-3 : 2e-4, 60, epoch_s + 60 * i));
    const played = replayInflow(wet, { ...basin, returned: { volume_m3: 0.001, duration_s: 2 }, spinUp_s: 0.7 });
    const stored_m3 = 0.1 * (played.lastLevel_m - 0.1);
    expect(played.inflow_m3 + played.returned_m3 - played.pumped_m3 - played.overflow_m3).toBeCloseTo(stored_m3, 9);
    const full_s = played.run_s - 0.7 * played.starts;
    expect(played.pumped_m3).toBeCloseTo(1e-3 * full_s, 6);
  });

  it.each([
    [{ pumps: [{ ...pump, stopLevel_m: 0.3 }] as const }, "pump 1 stops at 0.3 m and starts at 0.3 m"],
    [{ overflowLevel_m: 0.2 }, "pump 1 starts at 0.3 m; expected less than the overflow level, 0.2 m"],
    [{ pumps: [{ ...pump, supply: "battery" }] as const }, "pump 1 runs from a battery; expected one, found none"],
  ])("says what it cannot work with", (change, message) => {
    expect(() => replayInflow([steady(1e-4, 10)], { ...basin, ...change })).toThrow(message);
  });
});
