// The NRCS curves of 24 hours against a second circulated table of them, Chow, Maidment & Mays, Applied Hydrology (1988),
// table 14.3.2 (read in public copies): of type II the two agree at these hours; of the others they differ by up to 0.005.
// And against the shares of the day that NEH 630 ch. 4 (210-630-H, amend. 88, 2019), fig. 4-31, nests in a day of type II.

import { describe, expect, it } from "vitest";
import { designRain } from "../../../analysis/storms/design-rain.ts";
import { type NrcsType, nrcsShare } from "../../../analysis/storms/nrcs-curves.ts";

const inch_m = 0.0254;
const hours = [4, 6, 9.5, 10, 10.5, 11, 11.5, 12, 12.5, 13, 13.5, 14, 16, 24];

describe("nrcsShare", () => {
  it.each<[NrcsType, number, number[]]>([
    [
      "nrcs-type-1",
      0.0051,
      [0.076, 0.125, 0.303, 0.515, 0.583, 0.624, 0.654, 0.682, 0.706, 0.727, 0.748, 0.767, 0.83, 1],
    ],
    [
      "nrcs-type-1a",
      0.0021,
      [0.116, 0.206, 0.55, 0.577, 0.601, 0.624, 0.645, 0.664, 0.683, 0.701, 0.719, 0.736, 0.8, 1],
    ],
    ["nrcs-type-2", 1e-9, [0.048, 0.08, 0.163, 0.181, 0.204, 0.235, 0.283, 0.663, 0.735, 0.772, 0.799, 0.82, 0.88, 1]],
    [
      "nrcs-type-3",
      0.0016,
      [0.043, 0.072, 0.167, 0.189, 0.216, 0.25, 0.298, 0.5, 0.702, 0.751, 0.785, 0.811, 0.886, 1],
    ],
  ])("gives the shares of %s to %d", (type, tolerance, shares) => {
    hours.forEach((hour, i) => {
      expect(Math.abs(nrcsShare(type, hour) - (shares[i] as number))).toBeLessThanOrEqual(tolerance);
    });
  });

  it.each<[NrcsType]>([["nrcs-type-1"], ["nrcs-type-1a"], ["nrcs-type-2"], ["nrcs-type-3"]])(
    "never falls, and begins and ends at nothing and all: %s",
    (type) => {
      for (let minute = 0; minute < 1440; minute += 1) {
        expect(nrcsShare(type, (minute + 1) / 60)).toBeGreaterThanOrEqual(nrcsShare(type, minute / 60));
      }
      expect([nrcsShare(type, 0), nrcsShare(type, 24), nrcsShare(type, 30)]).toEqual([0, 1, 1]);
    },
  );

  it("has the steepest half hour of type II from 11.5 to 12 h: 0.380 of the day", () => {
    expect(nrcsShare("nrcs-type-2", 12) - nrcsShare("nrcs-type-2", 11.5)).toBeCloseTo(0.38, 3);
  });
});

describe("designRain", () => {
  const day_s = 86_400;
  const wettest = (rain_m: Float64Array, minutes: number) => {
    let most = 0;
    for (let i = minutes; i <= rain_m.length; i += 1) {
      most = Math.max(
        most,
        rain_m.subarray(i - minutes, i).reduce((sum, depth) => sum + depth, 0),
      );
    }
    return most;
  };

  it("brings 5 in of type II in a day, 45.4 % of it in the wettest hour (NEH 630 ch. 4, fig. 4-31)", () => {
    const { rain_m, method } = designRain({ depth_m: 5 * inch_m, duration_s: day_s, distribution: "nrcs-type-2" });
    expect(rain_m.length).toBe(1440);
    expect(rain_m.reduce((sum, depth) => sum + depth, 0)).toBeCloseTo(5 * inch_m, 12);
    expect(wettest(rain_m, 60) / (5 * inch_m)).toBeCloseTo(0.454, 2);
    expect(method).toBe("NRCS type II, 24 h");
  });

  it.each([
    [30, 38.0],
    [60, 45.4],
    [120, 53.8],
    [180, 59.5],
    [360, 70.7],
    [720, 84.1],
  ])(
    "in the wettest %d minutes of a balanced day and of type II falls the handbook's share, %d %%",
    (minutes, percent) => {
      for (const distribution of ["balanced", "nrcs-type-2"] as const) {
        const { rain_m } = designRain({ depth_m: 1, duration_s: day_s, distribution });
        expect(Math.abs(wettest(rain_m, minutes) - percent / 100)).toBeLessThan(0.012);
      }
    },
  );

  it("takes the wettest six hours of a curve for a storm of six, with the whole depth in them, and says so", () => {
    const { rain_m, method } = designRain({ depth_m: 0.06, duration_s: 6 * 3600, distribution: "nrcs-type-2" });
    expect(rain_m.length).toBe(360);
    expect(rain_m.reduce((sum, depth) => sum + depth, 0)).toBeCloseTo(0.06, 12);
    // 0.454 of the day's depth in an hour against 0.707 in six hours
    expect(wettest(rain_m, 60) / 0.06).toBeCloseTo(45.4 / 70.7, 1);
    expect(method).toBe("the wettest 6 h of the 24 h curve of NRCS type II");
  });

  it("gives each duration of the tables its depth in a balanced storm", () => {
    const depths = [
      { duration_s: 900, depth_m: 0.021 },
      { duration_s: 3600, depth_m: 0.04 },
      { duration_s: 6 * 3600, depth_m: 0.065 },
    ];
    const { rain_m, method } = designRain({ depth_m: 0.09, duration_s: day_s, distribution: "balanced", depths });
    expect(wettest(rain_m, 15)).toBeCloseTo(0.021, 3);
    expect(wettest(rain_m, 60)).toBeCloseTo(0.04, 4);
    expect(wettest(rain_m, 360)).toBeCloseTo(0.065, 4);
    expect(rain_m.reduce((sum, depth) => sum + depth, 0)).toBeCloseTo(0.09, 12);
    expect(method).toBe("balanced storm of 24 h by alternating blocks from 4 durations");
  });

  it("spreads a uniform storm evenly", () => {
    const { rain_m } = designRain({ depth_m: 0.06, duration_s: 3600, distribution: "uniform" });
    for (const depth of rain_m) expect(depth).toBeCloseTo(0.001, 12);
  });

  it("names a depth that is none", () => {
    expect(() => designRain({ depth_m: 0, duration_s: 3600, distribution: "uniform" })).toThrow("depth_m is 0 m");
  });
});
