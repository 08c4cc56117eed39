import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { ReplayInstallation } from "../../../analysis/whatif/installation.ts";
import { replayInflow } from "../../../analysis/whatif/replay.ts";
import { worstMoment } from "../../../analysis/whatif/worst-moment.ts";

/** 1000 cm² of surface, 20 L between the floats, a pump of 1 L/s. */
const basin: ReplayInstallation = {
  basin: { shape: "rectangular", width_m: 0.25, length_m: 0.4, occupiedArea_m2: 0 },
  highLevel_m: null,
  overflowLevel_m: 2,
  pumps: [{ name: null, startLevel_m: 0.3, stopLevel_m: 0.1, supply: "mains", power_w: null }],
  takesTurns: false,
  flow_m3s: (runs) => 1e-3 * runs.filter((feed) => feed !== null).length,
  battery: null,
  returned: { volume_m3: 0, duration_s: 3 },
  spinUp_s: 0,
  groundHead: null,
};
/** Five hours of 6 L/min with a storm of an hour in their middle, at its highest 30 L/min. */
const inflow: readonly InflowStretch[] = Array.from({ length: 900 }, (_, i) => ({
  from_s: 20 * i,
  to_s: 20 * (i + 1),
  inflow_m3s: 1e-4 + 4e-4 * Math.max(0, 1 - Math.abs(20 * i - 9000) / 1800),
  uInflow_m3s: 0,
}));
const lasts_s = 1200;

describe("worstMoment", () => {
  it("finds no lower water than a cut at any of two hundred moments would bring", () => {
    const cut = worstMoment(inflow, basin, lasts_s);
    const highestWith = (from_s: number) =>
      replayInflow(inflow, basin, { powerCuts: [{ from_s, to_s: from_s + lasts_s }] }).highestLevel_m;
    const worst_m = highestWith(cut?.from_s ?? 0);
    const tried = Array.from({ length: 200 }, (_, i) => highestWith(7000 + 17.3 * i));
    expect(worst_m).toBeGreaterThan(Math.max(...tried) - 0.002);
  });

  it("begins the cut as the float closes", () => {
    const steady = inflow.map((stretch) => ({ ...stretch, inflow_m3s: 1e-4 }));
    const cut = worstMoment(steady, basin, lasts_s);
    const phase_s = (cut?.from_s ?? 0) % (200 + 20 / 0.9);
    expect(phase_s).toBeCloseTo(200, 3);
  });

  it("reckons with the battery that the installation has", () => {
    const backed: ReplayInstallation = {
      ...basin,
      pumps: [{ ...basin.pumps[0], supply: "either" }],
      battery: { runTime_s: 1e5, regained_ss: 0, idle_ss: 0, power_w: null },
    };
    const cut = worstMoment(inflow, backed, lasts_s);
    expect(cut).not.toBeNull();
    expect(replayInflow(inflow, backed, { powerCuts: cut === null ? [] : [cut] }).highestLevel_m).toBe(0.3);
  });

  it("has no answer where the cut is longer than the inflow", () => {
    expect(worstMoment(inflow.slice(0, 10), basin, lasts_s)).toBeNull();
  });
});
