import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const [hours, blockedAt_h] = [30, 20];
const pump_m3s = 1.1e-3;

/** A storm of up to `most` of what the sound pump moves, highest at 22 h. */
function storm_m3s(time_s: number, most: number): number {
  return pump_m3s * (0.05 + (most - 0.05) * Math.exp(-(((time_s / 3600 - 22) / 2) ** 2)));
}

/** Readings of contact and level half a minute apart; the discharge lets through less from 20 h on, until it is freed. */
function recorded(left: number, freedAt_h: number, most: number): { readings: Reading[]; inflow_m3: number } {
  const readings: Reading[] = [];
  let [level_m, on, inflow_m3] = [0.2, false, 0];
  for (let t = 0; t < hours * 3600; t += 1) {
    if (level_m >= 0.3) on = true;
    else if (level_m <= 0.1) on = false;
    const isLess = t >= blockedAt_h * 3600 && t < freedAt_h * 3600;
    const inflow_m3s = storm_m3s(t, most);
    inflow_m3 += inflow_m3s;
    level_m += (inflow_m3s - (on ? (isLess ? left : 1) * pump_m3s : 0)) / area_m2;
    if (t % 30 === 7) readings.push(reading(startTime_s + t, { level_m: Number(level_m.toFixed(3)), pumpOn: on }));
  }
  return { readings, inflow_m3 };
}

describe("a discharge that is blocked by half in a storm, read each half minute, with runs between readings", () => {
  it.each([0.45, 0.6])(
    "is told, and what comes in is reckoned by what the pump moves now, %f of what it did",
    (left) => {
      const { readings, inflow_m3 } = recorded(left, Number.POSITIVE_INFINITY, 0.8 * left);
      const { summary } = analyse(smallSite, readings);
      const found = summary.findings.find(({ kind }) => kind === "discharge-blocked");
      expect(Date.parse(found?.from ?? "") / 1000 - startTime_s).toBeGreaterThan(blockedAt_h * 3600);
      const { mean_lpm, mean_u95_lpm, peak } = summary.inflow;
      const true_lpm = (inflow_m3 / hours / 3600) * 60_000;
      expect(Math.abs((mean_lpm ?? 0) - true_lpm)).toBeLessThan(mean_u95_lpm ?? 0);
      expect(Math.abs((mean_lpm ?? 0) / true_lpm - 1)).toBeLessThan(0.03);
      expect(Math.abs((peak["3600"]?.lpm ?? 0) / (0.8 * left * pump_m3s * 60_000) - 1)).toBeLessThan(0.05);
    },
  );

  it("is over once the pipe is free again, though the storm goes on", () => {
    const { readings, inflow_m3 } = recorded(0.5, 23, 0.45);
    const { summary } = analyse(smallSite, readings);
    const found = summary.findings.filter(({ kind }) => kind === "discharge-blocked");
    expect(found.length).toBe(1);
    expect(Date.parse(found[0]?.to ?? "") / 1000 - startTime_s).toBeLessThan(25.5 * 3600);
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / ((inflow_m3 / hours / 3600) * 60_000) - 1)).toBeLessThan(0.04);
  });

  it("is not told of a sound pump in the same storm", () => {
    const { readings } = recorded(1, Number.POSITIVE_INFINITY, 0.8);
    const { summary } = analyse(smallSite, readings);
    expect(summary.findings.map(({ kind }) => kind)).not.toContain("discharge-blocked");
  });
});
