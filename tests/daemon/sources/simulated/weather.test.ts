import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { localMidnight_s, rainOfWeek_mm } from "../../../../daemon/sources/simulated/weather.ts";

const shower = { at_h: 42, length_h: 4, depth_mm: 40, peakAt: 0.4 };

describe("rainOfWeek_mm", () => {
  it("rains as much as the shower has, within the 15 % by which weeks differ", () => {
    for (const seed of [1, 2, 3, 4, 5]) {
      const total_mm = rainOfWeek_mm([shower], seededRandom(seed)).reduce((sum, part) => sum + part, 0);
      expect(total_mm).toBeGreaterThan(40 * 0.85 - 1e-9);
      expect(total_mm).toBeLessThan(40 * 1.15 + 1e-9);
    }
  });

  it("rains in the hours of the shower, within three quarters of an hour, and at no other time", () => {
    const wet = [...rainOfWeek_mm([shower], seededRandom(9))].flatMap((rain, minute) => (rain > 0 ? [minute] : []));
    expect(wet[0]).toBeGreaterThanOrEqual((42 - 0.75) * 60 - 1);
    expect((wet.at(-1) ?? 0) - (wet[0] ?? 0)).toBe(239);
  });

  it("leaves out what falls before the week begins", () => {
    const rain_mm = rainOfWeek_mm([{ ...shower, at_h: -2 }], seededRandom(1));
    expect(rain_mm[0]).toBeGreaterThan(0);
    expect(rain_mm.length).toBe(7 * 1440);
  });
});

describe("localMidnight_s", () => {
  it("is the midnight before, where the house stands", () => {
    const evening_s = Date.parse("2026-03-02T19:30:00-05:00") / 1000; // already the next day in UTC
    expect(localMidnight_s(evening_s, "America/Toronto")).toBe(Date.parse("2026-03-02T00:00:00-05:00") / 1000);
  });
});
