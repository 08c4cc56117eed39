import { describe, expect, it } from "vitest";
import type { BasinSite, Site } from "../../../analysis/site.ts";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import { handTestOf, house, inch } from "./house.ts";

// All of it advice by common practice, no source; each piece says why.
describe("features worth having", () => {
  it("are a submersible pump in a basin that has room for one, a pedestal pump in one that has not", () => {
    expect(advice(house, "pump-type")).toMatch(/^A submersible pump/);
    const narrow: BasinSite = {
      ...house.basin,
      geometry: { shape: "round", diameter_m: 12 * inch, occupiedArea_m2: 0 },
    };
    expect(advice({ ...house, basin: narrow }, "pump-type")).toMatch(/^A pedestal pump/);
    expect(advice({ ...house, basin: { ...house.basin, depth_m: 20 * inch } }, "pump-type")).toMatch(/^A pedestal/);
  });

  it("are cast iron where the pump works hard, plastic where it hardly works", () => {
    expect(advice(house, "body", 20)).toMatch(/^A body of cast iron/);
    expect(advice(house, "body", 2)).toMatch(/^A body of plastic/);
  });

  it("are always a separate float for high water", () => {
    expect(advice(house, "high-water-float")).toContain("at 20 in");
  });

  it("are a second pump where the floor is reached within the hour, and none where there are two", () => {
    expect(advice(house, "second-pump", 10)).toContain("on another circuit");
    expect(advice(house, "second-pump", 0.1)).toBe("");
    const pump = house.pump ?? { curve: null, maxStartsPerHour: null, minRun_s: null };
    expect(advice({ ...house, pumps: [pump, pump] }, "second-pump", 10)).toBe("");
  });

  it("are a check valve where none is listed, with what the pipe lets back", () => {
    expect(advice(house, "check-valve")).toBe("");
    if (house.discharge === null) throw new Error("no discharge");
    const open = { ...house, discharge: { ...house.discharge, fittings: [{ kind: "elbow-90" as const, count: 3 }] } };
    expect(advice(open, "check-valve")).toMatch(/^A check valve/);
  });

  it("are a wider pipe where the required flow would be heard in the one that is there, by name and by what it saves", () => {
    // 25 in a minute: 41.3 gpm, 6.51 ft/s in 1-1/2 in (0.4085 · 41.31 / 1.61²), 3.95 ft/s in 2 in.
    const pipe = answer(house, 25).advice.find(({ about }) => about === "pipe");
    expect(pipe?.advice).toBe("A discharge of 2 in PVC schedule 40.");
    expect(pipe?.reason).toMatch(
      /at 6\.51 ft\/s, .* 5 ft\/s .*; in that one it goes at 3\.95 ft\/s, and asks for .* ft less head/,
    );
    expect(advice(house, "pipe", 10)).toBe("");
  });

  it("are a narrower pipe where sand and silt would settle in it", () => {
    if (house.discharge === null) throw new Error("no discharge");
    const wide = { ...house.discharge, pipe: { ...house.discharge.pipe, nominal_m: 4 * inch } };
    expect(advice({ ...house, discharge: wide }, "pipe", 2)).toMatch(/^A narrower discharge/);
  });

  it("have each a reason and a source", () => {
    for (const { reason, source } of answer(house, 10).advice) {
      expect(reason).not.toBe("");
      expect(source).not.toBe("");
    }
  });
});

function answer(site: Site, inches: number) {
  return sizeBasin({ site, logged: null, hand: handTestOf(inches) });
}

function advice(site: Site, about: string, inches = 10): string {
  return answer(site, inches).advice.find((each) => each.about === about)?.advice ?? "";
}
