import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { floatVolumes } from "../../../analysis/inflow/float-volumes.ts";
import { newTripLevels, noteTrips } from "../../../analysis/readings/trip-levels.ts";
import type { BasinSite } from "../../../analysis/site.ts";

const shape = { shape: "rectangular", width_m: 0.4, length_m: 0.5, occupiedArea_m2: 0 } as const;
const geometry = basinGeometry(shape);

function basin(startLevel_m: number | null, stopLevel_m: number | null): BasinSite {
  return { geometry: shape, depth_m: 0.8, startLevel_m, stopLevel_m, highLevel_m: null, overflowLevel_m: null };
}

/** Trips of a float at 0.350 and 0.150 m, whose stops are seen some millimetres late. */
function seen(cycles: number, late_m: number) {
  const trips = newTripLevels();
  for (let i = 0; i < cycles; i += 1) {
    const off_m = 0.001 * ((i % 3) - 1);
    const of = { start_m: 0.35 + off_m, stop_m: 0.15 + late_m + off_m, uSampling_m: 0.003 / Math.sqrt(12) };
    noteTrips(trips, { time_s: 1800 * i, ...of, pumpRate_m3s: null });
  }
  return trips;
}

function levels(cycles: number, late_m: number, site: BasinSite) {
  const found = floatVolumes(seen(cycles, late_m), site, geometry);
  return found && [geometry.level_m(found.stop_m3), geometry.level_m(found.stop_m3 + found.active_m3)];
}

describe("where a float trips", () => {
  it("is what is stated, before it is seen", () => {
    expect(levels(0, 0, basin(0.36, 0.16))).toEqual([expect.closeTo(0.16, 6), expect.closeTo(0.36, 6)]);
    expect(levels(0, 0, basin(null, 0.16))).toBeNull();
  });

  it("is what is seen, whatever is stated: levels that are 50 mm off do no harm", () => {
    for (const off_m of [-0.05, 0.02, 0.05]) {
      const [stop_m, start_m] = levels(4, 0.003, basin(0.35 + off_m, 0.15 + off_m)) ?? [];
      expect(start_m).toBeCloseTo(0.35, 3);
      expect(Math.abs((stop_m ?? 0) - 0.15)).toBeLessThan(0.002);
    }
  });

  it("is seen too high at the stop by what comes in and back: a stated stop that fits is better", () => {
    expect(levels(20, 0.003, basin(0.35, 0.1495))?.[0]).toBeCloseTo(0.1495, 6);
  });

  it("is, at the start, what is seen and what is stated together, as far as cycles in a storm show little", () => {
    const trips = newTripLevels();
    const uSampling_m = 0.008;
    // Of two calm cycles and four of a storm, whose last readings before the start may be far below it.
    for (const [start_m, u_m] of [
      [0.348, 0.001],
      [0.351, 0.001],
    ].concat(new Array(4).fill([0.338, uSampling_m])))
      noteTrips(trips, { time_s: 0, start_m: start_m ?? 0, stop_m: 0.15, uSampling_m: u_m ?? 0, pumpRate_m3s: null });
    const startOf = (stated_m: number) => {
      const found = floatVolumes(trips, basin(stated_m, 0.15), geometry);
      return found === null ? Number.NaN : geometry.level_m(found.stop_m3 + found.active_m3);
    };
    expect(Math.abs(startOf(0.35) - 0.3495)).toBeLessThan(0.001);
    expect(Math.abs(startOf(0.352) - 0.3505)).toBeLessThan(0.001);
    expect(startOf(0.4)).toBeCloseTo(startOf(0.3), 6);
  });

  it("scatters as the latest trips do, and by nothing before there are some", () => {
    const scatter_m = (cycles: number) => {
      const { scatter_m3 = Number.NaN } = floatVolumes(seen(cycles, 0), basin(0.35, 0.15), geometry) ?? {};
      return scatter_m3 / geometry.area_m2(0.35);
    };
    expect(scatter_m(0)).toBe(0);
    // Of trips a millimetre apart, not less than what a sensor's tremor hides.
    expect(scatter_m(20)).toBeCloseTo(0.002, 6);
  });

  it("is known where nothing is stated", () => {
    const [stop_m, start_m] = levels(12, 0.003, basin(null, null)) ?? [];
    expect(start_m).toBeCloseTo(0.35, 3);
    expect(Math.abs((stop_m ?? 0) - 0.15)).toBeLessThan(0.002);
  });
});
