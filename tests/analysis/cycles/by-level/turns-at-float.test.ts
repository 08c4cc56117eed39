import { describe, expect, it } from "vitest";
import { turnsAtFloat } from "../../../../analysis/cycles/by-level/turns-at-float.ts";
import { newTripLevels, noteTrips, type TripLevelsState } from "../../../../analysis/readings/trip-levels.ts";
import { smallSite } from "../../small-basin.ts";

/** A float that closes at 0.36 m by the sensor and opens at 0.16 m. */
function seen(): TripLevelsState {
  const trips = newTripLevels();
  for (let time_s = 0; time_s < 5; time_s += 1)
    noteTrips(trips, { time_s, start_m: 0.36, stop_m: 0.16, uSampling_m: 0, pumpRate_m3s: null });
  return trips;
}

const turns = (top_m: number, lowest_m: number, unseen_m = 0, trips = seen(), basin = smallSite.basin) =>
  turnsAtFloat(trips, basin, { top_m, lowest_m, unseen_m });

describe("where the level turns", () => {
  it("is where the float trips, or over or under it", () => {
    expect(turns(0.37, 0.15)).toEqual({ atStart: true, atStop: true, overStart: false });
    expect(turns(0.5, 0.3)).toEqual({ atStart: false, atStop: false, overStart: true });
    expect(turns(0.29, 0.17)).toEqual({ atStart: false, atStop: true, overStart: false });
    expect(turns(0.385, 0.17)).toEqual({ atStart: true, atStop: true, overStart: true });
  });

  it("may be as far off as the water rises between two readings", () => {
    expect(turns(0.42, 0.22)).toMatchObject({ atStart: false, atStop: false });
    expect(turns(0.42, 0.22, 0.02)).toMatchObject({ atStart: true, atStop: true });
  });

  it("is not held against stated levels that the sensor has not shown, but against how far they are apart", () => {
    expect(turns(0.5, 0.3, 0, newTripLevels())).toMatchObject({ atStart: true, atStop: true });
    expect(turns(0.5, 0.2, 0, newTripLevels())).toMatchObject({ atStart: false, atStop: false });
    const unknown = { ...smallSite.basin, startLevel_m: null };
    expect(turns(0.5, 0.2, 0, newTripLevels(), unknown)).toMatchObject({ atStart: true, atStop: true });
  });
});
