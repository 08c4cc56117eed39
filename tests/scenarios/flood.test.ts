// A basement that floods: the pump is dead, and hours of little end in a storm that takes the water to the rim. However
// seldom the level is read, water that keeps on rising is water, and no row of spikes.

import { describe, expect, it } from "vitest";
import { analyse } from "../analysis/analyse.ts";
import { hour_s, levels, type Play, play, site } from "./dirt/dirty-basin.ts";

const deadFrom_s = 10 * hour_s;
const stormFrom_s = 10.1 * hour_s;
const rim_m = 0.75;
const storm_lpm = 5;

/** 1.5 L/min on all days but this one; 31 mm a minute then, and twelve minutes to the rim from where it stands. */
function flooded(how: Partial<Play>) {
  const played = play({
    hours: 11,
    start_m: (t_s) => (t_s < deadFrom_s ? 0.35 : 9),
    inflow_lpm: (t_s) => (t_s < stormFrom_s ? 1.5 : storm_lpm),
    ...how,
  });
  const noisy = (level_m: number, t_s: number) => Math.min(level_m, rim_m + 0.002 * Math.sin(t_s));
  return analyse(site, levels(played.readings, noisy)).summary;
}

describe("a flood behind a dead pump", () => {
  for (const sample_s of [10, 30, 60]) {
    it(`has its true inflow as the peak where the level is read every ${sample_s} s`, () => {
      const { peak } = flooded({ sample_s }).inflow;
      for (const window of ["60", "600"] as const) {
        expect(Math.abs((peak[window]?.lpm ?? 0) / storm_lpm - 1)).toBeLessThan(0.03);
        expect(Math.abs((peak[window]?.lpm ?? 0) - storm_lpm)).toBeLessThan(2 * (peak[window]?.u95_lpm ?? 0));
      }
    });
  }

  it("is read alike whatever the noise of the sensor", () => {
    for (const seed of [2, 3, 4]) {
      const peak_lpm = flooded({ sample_s: 60, seed, noise_m: 0.003 }).inflow.peak["600"]?.lpm ?? 0;
      expect(Math.abs(peak_lpm / storm_lpm - 1)).toBeLessThan(0.05);
    }
  });
});

describe("a storm that brings more than the pump moves", () => {
  for (const sample_s of [1, 20, 30, 60]) {
    it(`is told where the level is read every ${sample_s} s, and once`, () => {
      const inflow_lpm = (t_s: number) => (t_s > 10 * hour_s && t_s < 10.5 * hour_s ? 140 : 3);
      const { findings } = analyse(site, play({ hours: 13, sample_s, inflow_lpm }).readings).summary;
      const told = findings.filter(({ kind }) => kind === "inflow-exceeds-pump");
      expect(told).toHaveLength(1);
    });

    it(`is not told of one that the pump holds: every ${sample_s} s`, () => {
      const inflow_lpm = (t_s: number) => (t_s > 10 * hour_s && t_s < 11 * hour_s ? 100 : 3);
      const { findings } = analyse(site, play({ hours: 13, sample_s, inflow_lpm }).readings).summary;
      expect(findings.filter(({ kind }) => kind === "inflow-exceeds-pump")).toEqual([]);
    });
  }
});

it("is not what a coarse sensor shows of a steady trickle", () => {
  const played = play({ hours: 30, inflow_lpm: () => 1.2, sample_s: 60 });
  const steps_m = 0.005;
  const stepped = levels(played.readings, (level_m) => Math.round(level_m / steps_m) * steps_m);
  expect(analyse(site, stepped).summary.inflow.peak["60"]?.lpm).toBeLessThan(1.5 * 1.2);
});

it("leaves the peaks at least so much once water has stood at the rim", () => {
  const rising = flooded({ sample_s: 60 }).inflow.peak["600"];
  expect(rising?.at_least).toBe(true);
});
