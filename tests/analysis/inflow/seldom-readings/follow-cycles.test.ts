import { describe, expect, it } from "vitest";
import { followCycles } from "../../../../analysis/inflow/seldom-readings/follow-cycles.ts";
import { active_m3, basin, pump_m3s, stop_m3 } from "./basin-read-seldom.ts";

const floats = { stop_m3, active_m3 };

function known(flow_m3s: number, share: number) {
  return { flow_m3s, uFlow_m3s: share * flow_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

describe("cycles that are followed", () => {
  // 0.6 L/s against 2 L/s: rests of 50 s, runs of 21 s.
  it("give an inflow that is steady, though readings are half a cycle apart", () => {
    const found = followCycles(
      basin(37, 36, () => 6e-4),
      floats,
      known(pump_m3s, 0.02),
    );
    expect(meanOf(found?.flow_m3s ?? []) / 6e-4).toBeCloseTo(1, 1.7);
    expect(found?.fits).toBeGreaterThan(1.5);
  });

  it("give one that doubles in ten minutes, reading by reading but for the last, which those after it would tell", () => {
    const rising = (time_s: number) => 4e-4 * 2 ** (time_s / 600);
    const readings = basin(30, 25, rising);
    const found = followCycles(readings, floats, known(pump_m3s, 0.02), null, 4);
    const off = found?.flow_m3s.map((flow_m3s, i) => Math.abs(flow_m3s / rising(30 * (i + 0.5)) - 1)) ?? [];
    expect(Math.max(...off.slice(0, -8))).toBeLessThan(0.05);
    expect(Math.max(...off)).toBeLessThan(0.15);
    expect(found?.uMean_m3s).toBeLessThan(0.04 * 5.6e-4);
  });

  // 1.7 L/s against 2.12 at the start and 1.88 at the stop: halfway down the fall has taken a third of its time.
  it("give one of nearly what a pump moves that moves more the higher the water stands, and else do not follow", () => {
    const readings = basin(37, 48, () => 1.7e-3, 0.06);
    const byTilt = (tilt: number) => followCycles(readings, { ...floats, tilt }, known(pump_m3s, 0.03));
    expect(Math.abs(meanOf(byTilt(0.06)?.flow_m3s ?? []) / 1.7e-3 - 1)).toBeLessThan(0.015);
    expect(byTilt(0.06)?.fits).toBeGreaterThan(2);
    expect(byTilt(0)?.fits).toBeLessThan(0.7);
  });

  // A rest of 15 s and a fall of 12 to 25 min: a level that hardly falls is no trickle.
  it.each([30, 60])("give one of all but what the pump moves by the level alone, read each %d s", (every_s) => {
    for (const share of [0.98, 0.99]) {
      const readings = basin(every_s, 48, () => share * pump_m3s).map((one) => ({ ...one, on: null }));
      const found = followCycles(readings, floats, known(pump_m3s, 0.02), 0.98 * share * pump_m3s);
      expect(Math.abs(meanOf(found?.flow_m3s ?? []) / (share * pump_m3s) - 1)).toBeLessThan(0.005);
    }
  });

  // Of what comes in while the pump comes up to speed, and is lifted too, one in a hundred would be missed.
  it("give one of nearly half of what the pump moves without bias, and what it moves", () => {
    for (const every_s of [15, 23]) {
      const readings = basin(every_s, 60, () => 0.45 * pump_m3s);
      const found = followCycles(readings, floats, known(1.05 * pump_m3s, 0.2));
      expect(Math.abs(meanOf(found?.flow_m3s ?? []) / (0.45 * pump_m3s) - 1)).toBeLessThan(0.006);
      expect(Math.abs((found?.pump.flow_m3s ?? 0) / pump_m3s - 1)).toBeLessThan(0.008);
    }
  });

  it("tell what the pump moves, though it was thought to move a sixth less", () => {
    const found = followCycles(
      basin(30, 36, () => 6e-4),
      floats,
      known(pump_m3s / 1.2, 0.2),
    );
    expect((found?.pump.flow_m3s ?? 0) / pump_m3s).toBeCloseTo(1, 1.3);
    expect(meanOf(found?.flow_m3s ?? []) / 6e-4).toBeCloseTo(1, 1.3);
  });

  it("give it by the level alone, too, where nothing tells of the pump", () => {
    for (const every_s of [10, 15, 30]) {
      const readings = basin(every_s, 36, () => 6e-4).map((one) => ({ ...one, on: null }));
      const found = followCycles(readings, floats, known(1.1 * pump_m3s, 0.2));
      expect(Math.abs(meanOf(found?.flow_m3s ?? []) / 6e-4 - 1)).toBeLessThan(0.02);
      expect(Math.abs((found?.pump.flow_m3s ?? 0) / pump_m3s - 1)).toBeLessThan(0.03);
      expect(found?.fits).toBeGreaterThan(0.7);
    }
  });

  // Whole cycles between two readings at the same place look like no inflow at all: 42 s of rest, 24 s of run.
  it("go on where they begin to keep step with the readings, for water does not stop from one minute to the next", () => {
    const readings = basin(66, 26, () => 7e-4);
    const found = followCycles(readings, floats, known(pump_m3s, 0.02), 7e-4);
    expect(Math.abs(meanOf(found?.flow_m3s ?? []) / 7e-4 - 1)).toBeLessThan(0.15);
  });

  it("lead nowhere where levels and runs follow from nothing", () => {
    const wild = Array.from({ length: 36 }, (_, i) => ({
      time_s: 30 * i,
      volume_m3: stop_m3 + active_m3 * ((i * 0.618) % 1),
      on: (i * 7) % 11 < 4,
    }));
    expect(followCycles(wild, floats, known(pump_m3s, 0.02))?.fits).toBeLessThan(0.7);
  });

  it("need three readings", () => {
    expect(
      followCycles(
        basin(30, 2, () => 6e-4),
        floats,
        known(pump_m3s, 0.02),
      ),
    ).toBeNull();
  });
});
