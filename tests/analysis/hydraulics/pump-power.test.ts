import { describe, expect, it } from "vitest";
import { energyUse, hydraulicPower_w, inputPower, kilowattHour_j } from "../../../analysis/hydraulics/pump-power.ts";
import type { PumpSite } from "../../../analysis/site.ts";

const pump: PumpSite = { curve: null, maxStartsPerHour: null, minRun_s: null };
const duty = { flow_m3s: 0.0025, head_m: 5.2 };

describe("inputPower", () => {
  it("divides the power in the water by both efficiencies that the site gives", () => {
    // ρ 999.70, g 9.80665: 127.448 W in the water, 435.72 W from the supply
    expect(hydraulicPower_w(duty)).toBeCloseTo(127.448, 2);
    const power = inputPower({ ...pump, efficiency: 0.45, motorEfficiency: 0.65 }, duty);
    expect(power).toMatchObject({ basis: "efficiency", uPower_w: null });
    expect(power?.power_w).toBeCloseTo(435.72, 1);
  });

  it("stays unknown without them, unless typical ones are asked for, and then says so", () => {
    expect(inputPower(pump, duty)).toBeNull();
    expect(inputPower({ ...pump, efficiency: 0.4 }, duty)).toBeNull();
    const typical = inputPower({ ...pump, efficiency: 0.4 }, duty, { typical: true });
    expect(typical).toMatchObject({ basis: "typical" });
    expect(typical?.words).toContain("that of the motor is typical, not this one's (common practice, no source)");
    expect(typical?.uPower_w).toBeCloseTo(0.3 * (typical?.power_w ?? 0), 9);
    expect(inputPower(pump, null, { typical: true })).toBeNull();
  });

  it("believes a measurement before the site file, and that before any efficiency", () => {
    const given = { ...pump, inputPower_w: 400, efficiency: 0.45, motorEfficiency: 0.65 };
    expect(inputPower(given, duty)).toMatchObject({ power_w: 400, basis: "given" });
    expect(inputPower(given, duty, { measured_w: 380, uMeasured_w: 5 })).toMatchObject({
      power_w: 380,
      uPower_w: 5,
      basis: "measured",
    });
  });
});

describe("energyUse", () => {
  const power = { power_w: 400, uPower_w: 20, basis: "measured", words: "" } as const;

  it("takes the year to be like what was logged", () => {
    // 0.7 h a week: 0.28 kWh a week, 14.61 kWh in 365.25 days
    const use = energyUse(power, { run_s: 2520, starts: 140, span_s: 604_800 });
    expect((use?.perYear_j ?? 0) / kilowattHour_j).toBeCloseTo(14.61, 2);
    expect((use?.uPerYear_j ?? 0) / kilowattHour_j).toBeCloseTo(0.7305, 3);
    expect(use?.perCycle_j).toBe((400 * 2520) / 140);
    expect(use?.words).toContain("the 7 days that were logged");
  });

  it("knows nothing of a span that was not observed, nor of a cycle that was not", () => {
    expect(energyUse(power, { run_s: 0, starts: 0, span_s: 0 })).toBeNull();
    expect(energyUse(power, { run_s: 0, starts: 0, span_s: 86_400 })).toMatchObject({ perCycle_j: null, perYear_j: 0 });
  });
});
