import { describe, expect, it } from "vitest";
import type { BasinSite, Site } from "../../../analysis/site.ts";
import { activeVolume } from "../../../analysis/sizing/active-volume.ts";
import { demandOf } from "../../../analysis/sizing/demand.ts";
import { floatsAnswer } from "../../../analysis/sizing/float-levels.ts";
import { gpm, handTestOf, house, inch } from "./house.ts";

const gal_l = 3.785411784;

describe("the floats", () => {
  it("have 8 in of an 18 in basin between them: 8.8128 gal", () => {
    expect((activeVolume(house)?.volume_m3 ?? 0) * 1000).toBeCloseTo(8 * 1.1016 * gal_l, 3);
  });

  it("have what was measured from a bucket where that is given", () => {
    const basin = { ...house.basin, activeVolume: { volume_m3: 0.03, uVolume_m3: 0.0003 } };
    expect(activeVolume({ ...house, basin })).toEqual({ volume_m3: 0.03, u_m3: 0.0003, from: "measured" });
  });

  it("need 15·Q/n gallons, and half of it for two pumps that take turns", () => {
    // 40 gpm, 20 starts an hour: 15 · 40 / 20 = 30 gal; 8 s at 40 gpm is 5.33 gal.
    const { needed, most_starts_per_hour, shortest_run_s } = floats(house, 40);
    expect((needed?.volume_l ?? 0) / gal_l).toBeCloseTo(30, 6);
    expect((needed?.alternating_l ?? 0) / gal_l).toBeCloseTo(15, 6);
    expect((needed?.for_run_l ?? 0) / gal_l).toBeCloseTo(5.3333, 3);
    expect(most_starts_per_hour).toBeCloseTo((15 * 40) / 8.8128, 2);
    expect(shortest_run_s).toBeCloseTo((60 * 8.8128) / 40, 2);
  });

  it("are set no higher than they must be, in this basin", () => {
    // A pump of 12 gpm: 9 gal, 8.170 in of this basin, so the start level goes up to 14.170 in.
    const { set, message } = floats(house, 12);
    expect((set?.start_mm ?? 0) / 25.4).toBeCloseTo(6 + 9 / 1.1016, 3);
    expect(set?.starts_per_hour).toBeCloseTo(20, 6);
    expect(message).toMatch(/^Set the start level to 14\.2 in in place of 14 in, with the stop level at 6 in/);
  });

  it("stay as they are where that is enough", () => {
    expect(floats(house, 10)).toMatchObject({ needed: { enough: true }, set: { start_mm: 14 * 25.4 } });
  });

  it.each<[string, Partial<BasinSite>, string]>([
    ["the inlet", { inletLevel_m: 13 * inch }, "the inlet allows 13 in"],
    ["the high-water level", { highLevel_m: 16 * inch }, "the high-water level allows 14 in"],
    ["the floor", { highLevel_m: null, overflowLevel_m: 15 * inch }, "the floor allows 13 in"],
  ])("never bring the start level over %s, and then say what would do", (_, changed, said) => {
    const { set, message } = floats({ ...house, basin: { ...house.basin, ...changed } }, 30);
    expect(set).toBeNull();
    expect(message).toContain("For no more than 20 starts an hour, whatever comes in, it takes 22.5 gal");
    expect(message).toContain(said);
    expect(message).toContain("a wider basin");
  });

  it("say how often it would start at the best that fits, at the worst inflow and at the required one", () => {
    // Up to 18 in: 13.2192 gal. 40 gpm: 15 · 40 / 13.2192 = 45.4. Required: 1.5 · 2.2032 = 3.3048 gpm, a cycle of
    // 13.2192/3.3048 + 13.2192/36.6952 = 4.3602 min: 13.8 an hour.
    // Peak: 13.2192/2.2032 + 13.2192/37.7968 = 6.3498 min: 9.45 an hour.
    const { message, set } = floats(house, 40);
    expect(set).toBeNull();
    expect(message).toContain(
      "9.4 times an hour at the measured peak, 14 at the required flow, 45 at half of what the pump moves",
    );
    expect(message).toContain("20 are allowed, which holds for all that is to be expected");
    // Of 5 an hour both are over.
    const tight = { ...house, pump: { curve: null, maxStartsPerHour: 5, minRun_s: 8 } };
    expect(floats(tight, 40).message).not.toContain("to be expected");
  });

  it("may stand short of the volume by no more than a float's own scatter, and never over what is allowed", () => {
    // 30 gpm want 22.5 gal: 6 in + 20.425 in, 26.425 in. An inlet 3 mm lower does; one 10 mm lower does not.
    const under = (mm: number) => {
      const inletLevel_m = 26.4248 * inch - mm / 1000;
      return floats({ ...house, basin: { ...house.basin, highLevel_m: null, inletLevel_m } }, 30);
    };
    expect((under(3).set?.start_mm ?? 0) / 25.4).toBeCloseTo(26.4248 - 3 / 25.4, 3);
    expect(under(3).set?.starts_per_hour).toBeCloseTo(20.1, 0);
    expect(under(10).set).toBeNull();
  });

  it("offer two pumps that take turns only where half the volume fits", () => {
    // Up to 18 in, 13.2 gal fit: half of 24 gal (32 gpm), not half of 30 gal.
    expect(floats(house, 32).message).toContain("two pumps that take turns");
    expect(floats(house, 40).message).not.toContain("two pumps that take turns");
  });

  it("say nothing of what is not given", () => {
    const silent = { ...house, pump: { curve: null, maxStartsPerHour: null, minRun_s: null } };
    expect(floats(silent, 40)).toMatchObject({ needed: null, set: null, allowed_starts_per_hour: null });
    const { stopLevel_m: _, ...basin } = house.basin;
    expect(floats({ ...house, basin: { ...basin, stopLevel_m: null } }, 40).message).toContain(
      "stop level is not given",
    );
  });
});

describe("an inch more of start level", () => {
  it("makes nine starts of ten inches eight of nine... in proportion to the volume between", () => {
    // 8 in become 9 in: starts fall to 8/9.
    const raise = floats(house, 40).raise_start;
    expect((raise?.starts_per_day_then ?? 0) / (raise?.starts_per_day ?? 1)).toBeCloseTo(8 / 9, 9);
    expect(raise).toMatchObject({ fits: true, at: "peak", pumped_l_per_day: null });
  });

  it("saves water too, where less comes in against a higher level: half an inch of mean level", () => {
    const site = { ...house };
    const learned = { share_1m: -1, uShare_1m: 0.1 };
    const request = { site, demand: demandOf({ site, logged: null, hand: handTestOf(2) }, null), pump_m3s: gpm(40) };
    const raise = floatsAnswer({ ...request, inflow: [], inflowPerLevel: learned }).raise_start;
    expect((raise?.pumped_l_per_day_then ?? 0) / (raise?.pumped_l_per_day ?? 1)).toBeCloseTo(1 - 0.0127, 9);
  });

  it("is 25 mm where the site shows metric units", () => {
    expect(floats(house, 40).raise_start?.by_mm).toBeCloseTo(25.4, 9);
    expect(floats({ ...house, displayUnits: "metric" }, 40).raise_start?.by_mm).toBeCloseTo(25, 9);
  });

  it("does not fit where it would stand in the inlet", () => {
    const basin = { ...house.basin, inletLevel_m: 14.5 * inch };
    expect(floats({ ...house, basin }, 40).raise_start?.fits).toBe(false);
  });
});

function floats(site: Site, pump_gpm: number) {
  const demand = demandOf({ site, logged: null, hand: handTestOf(2) }, null);
  return floatsAnswer({ site, demand, pump_m3s: gpm(pump_gpm), inflow: [], inflowPerLevel: null });
}
