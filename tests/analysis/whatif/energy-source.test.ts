import { describe, expect, it } from "vitest";
import type { BackupSite } from "../../../analysis/sizing/battery/backup-site.ts";
import { energySource } from "../../../analysis/whatif/energy-source.ts";

const battery: BackupSite = {
  hold_s: null,
  capacity_ah: 100,
  volts: 12,
  ratedHours: 20,
  peukertExponent: 1.2,
  depthOfDischarge: 1,
  inverterEfficiency: 1,
  inverterIdle_w: null,
  temperature_c: null,
  ageingFactor: 1,
  pumpPower_w: null,
  pumpFlow_m3s: null,
};

describe("energySource", () => {
  it("runs 100 Ah at 10 A for 8.7 h by Peukert's law with an exponent of 1.2", () => {
    // commonly printed, here from memory: t = 20 h · (100/(10 · 20))^1.2 = 8.7055 h
    expect((energySource(battery, 120)?.runTime_s ?? 0) / 3600).toBeCloseTo(8.7055, 4);
  });

  it("takes off what may not be drawn, what the inverter loses, and age", () => {
    const real = { ...battery, depthOfDischarge: 0.5, inverterEfficiency: 0.8, ageingFactor: 1.25 };
    // 80 Ah at 150/12 = 12.5 A: 20 h · (80/250)^1.2 = 5.0955 h, half of it
    expect((energySource(real, 120)?.runTime_s ?? 0) / 3600).toBeCloseTo(10 * (80 / 250) ** 1.2, 6);
    expect(energySource(real, 120)?.power_w).toBe(150);
  });

  it("charges in the time given, and loses what an idle inverter draws", () => {
    const source = energySource({ ...battery, inverterIdle_w: 12 }, 120, 36_000);
    const runTime_s = source?.runTime_s ?? 0;
    expect((source?.regained_ss ?? 0) * 36_000).toBeCloseTo(runTime_s, 6);
    // at 1 A no more than 100 Ah are counted on: 100 h
    expect(source?.idle_ss).toBeCloseTo(runTime_s / 360_000, 9);
  });

  it("is none without a capacity", () => {
    expect(energySource({ ...battery, capacity_ah: null }, 120)).toBeNull();
  });
});
