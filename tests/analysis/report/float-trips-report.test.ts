import { describe, expect, it } from "vitest";
import { newTripLevels, noteTrips } from "../../../analysis/readings/trip-levels.ts";
import { floatTripsReport } from "../../../analysis/report/float-trips-report.ts";
import { smallSite } from "../small-basin.ts";

/** Twenty cycles, an hour apart, that trip at these levels, a millimetre to and fro. */
function learned(start_m: number, stop_m: number, scatter_m = 0.001) {
  const trips = newTripLevels();
  for (let i = 0; i < 20; i += 1) {
    const off_m = (i % 2 === 0 ? scatter_m : -scatter_m) / 2;
    noteTrips(trips, {
      time_s: i * 3600,
      start_m: start_m + off_m,
      stop_m: stop_m - off_m,
      uSampling_m: 0,
      pumpRate_m3s: 1e-3,
    });
  }
  return trips;
}

describe("floatTripsReport", () => {
  it("is absent before a dozen cycles have shown where the float trips", () => {
    expect(floatTripsReport(smallSite, newTripLevels())).toBeNull();
  });

  it("says where the pump starts and stops, and nothing more where that is as stated to a centimetre or so", () => {
    const report = floatTripsReport(smallSite, learned(0.312, 0.09));
    expect(report).toMatchObject({ start_off_mm: expect.closeTo(12, 0), stop_off_mm: expect.closeTo(-10, 0) });
    expect(report?.message).toBeNull();
  });

  it("says what to check where a level is off by more than 15 mm, and which", () => {
    expect(floatTripsReport(smallSite, learned(0.32, 0.12))?.message).toContain("starts and stops at other levels");
    expect(floatTripsReport(smallSite, learned(0.3, 0.12))?.message).toContain("stops at another level");
    expect(floatTripsReport(smallSite, learned(0.28, 0.1))?.message).toContain("starts at another level");
  });

  it("does not take a float that scatters for a level that is off", () => {
    expect(floatTripsReport(smallSite, learned(0.32, 0.1, 0.02))?.message).toBeNull();
  });

  it("holds nothing against a site file that states no levels", () => {
    const site = { ...smallSite, basin: { ...smallSite.basin, startLevel_m: null, stopLevel_m: null } };
    expect(floatTripsReport(site, learned(0.3, 0.1))).toMatchObject({
      start_level_mm: expect.closeTo(300, 0),
      start_off_mm: null,
      message: null,
    });
  });
});
