import { describe, expect, it } from "vitest";
import { demandOf } from "../../../analysis/sizing/demand.ts";
import { freeboardAnswer } from "../../../analysis/sizing/freeboard.ts";
import { handTestOf, house, inch } from "./house.ts";

const gal_l = 3.785411784;

describe("time until water reaches the floor", () => {
  it("is the room above the water over what comes in", () => {
    // 10 in a minute is 11.016 gpm. From 14 in to 30 in: 17.6256 gal, 96 s; from 6 in: 144 s; from 20 in: 60 s.
    const peak = freeboard(10)?.cases[0];
    expect(peak?.when).toBe("peak");
    expect((peak?.from_start?.volume.l ?? 0) / gal_l).toBeCloseTo(17.6256, 3);
    expect(peak?.from_start?.time.s).toBeCloseTo(96, 6);
    expect(peak?.from_stop?.time.s).toBeCloseTo(144, 6);
    expect(peak?.from_high?.time.s).toBeCloseTo(60, 6);
  });

  it("has a range that is longer upwards, since it is one over an inflow", () => {
    const { s, low_s, high_s } = freeboard(1)?.cases[0]?.from_start?.time ?? { s: 0, low_s: 0, high_s: 0 };
    expect(1 / (low_s ?? 0) - 1 / s).toBeCloseTo(1 / s - 1 / (high_s ?? 0), 12);
    expect((high_s ?? 0) - s).toBeGreaterThan(s - (low_s ?? 0));
  });

  it("is as far off as the inflow is that stands beside it: of two repeats by Student's t, not by 1.96", () => {
    // 60 cm across, 15 and 14.5 cm in a minute: 41.7 ± some 9 L/min. Room 55 cm, 155.5 L: over 41.7 ± 9, not ± 1.4.
    const basin = {
      ...house.basin,
      geometry: { shape: "round" as const, diameter_m: 0.6, occupiedArea_m2: 0 },
      startLevel_m: 0.35,
      stopLevel_m: 0.15,
      overflowLevel_m: 0.9,
    };
    const rises = [0.15, 0.145].map((rise_m) => ({ rise_m, watched_s: 60, from_m: null }));
    const hand = { rises, uRuler_m: null, uWatch_s: null, wanted: null };
    const site = { ...house, basin };
    const peak = freeboardAnswer(site, demandOf({ site, logged: null, hand }, null), null)?.cases[0];
    const { lpm = 0, u95_lpm } = peak?.inflow ?? {};
    const room_l = peak?.from_start?.volume.l ?? 0;
    expect(lpm).toBeCloseTo(41.7, 1);
    expect(u95_lpm ?? 0).toBeGreaterThan(6);
    expect(peak?.from_start?.time.low_s).toBeCloseTo((60 * room_l) / (lpm + (u95_lpm ?? 0)), 6);
    expect(peak?.from_start?.time.high_s).toBeCloseTo((60 * room_l) / (lpm - (u95_lpm ?? 0)), 6);
  });

  it("takes in what is stated of the basin and the floats", () => {
    const measurement = {
      uGeometry: 0.02,
      uFloatLevels_m: 0.005,
      uLevelSpan: null,
      uLevelZero_m: null,
      uFloatRepeatability_m: null,
      uEdge_s: null,
    };
    const stated = freeboardOf({ ...house, measurement }, 10)?.cases[0]?.from_start;
    // √((2 % · 66.72 L)² + (5 mm · 0.164173 m²)²) = 1.5664 L, and ± 1.96 of it.
    expect(stated?.volume.u95_l).toBeCloseTo(1.95996 * 1.5664, 2);
    expect(freeboard(10)?.cases[0]?.from_start?.volume.u95_l).toBeNull();
  });

  it("goes by the table of a basin that widens", () => {
    const geometry = {
      shape: "table" as const,
      rows: [
        { level_m: 0, volume_m3: 0 },
        { level_m: 14 * inch, volume_m3: 0.05 },
        { level_m: 30 * inch, volume_m3: 0.25 },
      ],
    };
    const site = { ...house, basin: { ...house.basin, geometry } };
    expect(freeboardOf(site, 10)?.cases[0]?.from_start?.volume.l).toBeCloseTo(200, 6);
  });

  it("is not known without the level of the floor, or without an inflow", () => {
    expect(freeboardOf({ ...house, basin: { ...house.basin, overflowLevel_m: null } }, 10)).toBeNull();
    expect(freeboardAnswer(house, demandOf({ site: house, logged: null, hand: null }, null), null)).toBeNull();
  });
});

function freeboard(inches: number) {
  return freeboardOf(house, inches);
}

function freeboardOf(site: typeof house, inches: number) {
  return freeboardAnswer(site, demandOf({ site, logged: null, hand: handTestOf(inches) }, null), null);
}
