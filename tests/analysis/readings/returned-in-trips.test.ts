import { describe, expect, it } from "vitest";
import { isReturnedWater } from "../../../analysis/readings/returned-in-trips.ts";
import { newTripLevels, noteTrips, type Trips } from "../../../analysis/readings/trip-levels.ts";

/** Of floats that trip at 0.3 and 0.1 m, twelve cycles lately by so much higher. */
function moved(startsBy_m: number, stopsBy_m: number, returned_m: number | null = null) {
  const trips = { time_s: 0, start_m: 0.3 + startsBy_m, stop_m: 0.1 + stopsBy_m, uSampling_m: 0, pumpRate_m3s: null };
  const recent = Array.from({ length: 12 }, () => ({ ...trips, returned_m }));
  const state = { ...newTripLevels(), start_m: 0.3, stop_m: 0.1, recent };
  return isReturnedWater(state, (startsBy_m - stopsBy_m) / 0.2);
}

describe("a change of the span", () => {
  it("is water that runs back where the stop alone seems to have moved, and the sensor's where both have", () => {
    expect(moved(0.002, 0.012)).toBe(true);
    expect(moved(0.004, 0.012)).toBe(false);
    expect(moved(-0.012, 0)).toBe(false);
    expect(moved(0.001, -0.012)).toBe(true);
  });

  it("is water that runs back where that makes more than half of what the span has lost", () => {
    // Of 0.2 m between the trips 6 % are 12 mm.
    expect(moved(-0.006, 0.006, 0.005)).toBe(false);
    expect(moved(-0.006, 0.006, 0.007)).toBe(true);
    expect(moved(-0.006, 0.006)).toBe(false);
    expect(moved(0.006, -0.006, 0.007)).toBe(false);
  });

  it("is told as a drift by no cycle of a leaking valve, and by those after it was mended as little", () => {
    const state = newTripLevels();
    const drifts: number[] = [];
    for (let n = 0; n < 200; n += 1) {
      const leaks = n >= 50 && n < 120;
      const of: Partial<Trips> = leaks ? { start_m: 0.296, stop_m: 0.12, returned_m: 0.03 } : {};
      const usual = { time_s: 600 * n, start_m: 0.3, stop_m: 0.1, uSampling_m: 0 };
      noteTrips(state, { ...usual, pumpRate_m3s: leaks ? 0.9e-3 : 1e-3, ...of });
      if (state.drift !== null) drifts.push(n);
    }
    expect(drifts).toEqual([]);
  });

  it("hides no drift of the zero, which moves start and stop alike", () => {
    const state = newTripLevels();
    for (let n = 0; n < 200; n += 1) {
      const leaks = n >= 50;
      const off_m = Math.max(0, n - 100) * 3e-4;
      const of = leaks ? { start_m: 0.296 + off_m, stop_m: 0.12 + off_m, returned_m: 0.03, pumpRate_m3s: 0.9e-3 } : {};
      noteTrips(state, { time_s: 600 * n, start_m: 0.3, stop_m: 0.1, uSampling_m: 0, pumpRate_m3s: 1e-3, ...of });
      if (n === 99) expect(state.drift).toBeNull();
    }
    expect(state.drift?.problem).toBe("zero-drift");
    expect(state.drift?.shift_m).toBeCloseTo(0.025, 2);
  });
});
