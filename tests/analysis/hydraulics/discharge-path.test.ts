import { describe, expect, it } from "vitest";
import { dischargePath, ofSecondPump, pathVolume_m3 } from "../../../analysis/hydraulics/discharge-path.ts";
import { pathLoss } from "../../../analysis/hydraulics/path-loss.ts";
import type { DischargeSite, FittingSite, PipeSection } from "../../../analysis/site.ts";

const section = (bore_m: number, ...fittings: FittingSite[]): PipeSection => ({
  pipe: { material: "pvc-40", nominal_m: null, insideDiameter_m: bore_m, length_m: 10 },
  fittings,
});
const kinds = (discharge: DischargeSite) =>
  dischargePath(discharge).map(({ fittings }) => fittings.map(({ kind }) => kind));

describe("dischargePath", () => {
  it("counts a change of bore where there is one, in the length before it, and the exit at the end", () => {
    const site = { highPoint_m: 3, ...section(0.04), further: [section(0.05), section(0.05), section(0.03)] };
    expect(kinds(site)).toEqual([["enlargement"], [], ["reducer"], ["exit"]]);
  });

  it("takes a listed reducer for the change, and one with another bore for a change of its own", () => {
    const listed = { highPoint_m: 3, ...section(0.05, { kind: "reducer", count: 1 }), further: [section(0.03)] };
    expect(kinds(listed)).toEqual([["reducer"], ["exit"]]);
    const atPump: FittingSite = { kind: "enlargement", count: 1, otherBore_m: 0.03 };
    const own = { highPoint_m: 3, ...section(0.05, atPump), further: [section(0.04)] };
    expect(kinds(own)).toEqual([["enlargement", "reducer"], ["exit"]]);
    expect(dischargePath(own)[0]?.fittings[0]).toMatchObject({ bore_m: 0.03, k: (1 - 0.36) ** 2 });
  });

  it("begins with the first pump's riser, or the second's, without a change of bore where they join", () => {
    const site: DischargeSite = { highPoint_m: 3, ...section(0.05), risers: [section(0.04), null] };
    expect(kinds(site)).toEqual([[], ["exit"]]);
    expect(dischargePath(site).map(({ role }) => role)).toEqual(["riser", "pipe"]);
    expect(dischargePath(ofSecondPump(site)).map(({ role }) => role)).toEqual(["pipe"]);
  });

  it("holds what all its lengths hold", () => {
    const site = { highPoint_m: 3, ...section(0.04), further: [section(0.05)] };
    expect(pathVolume_m3(site)).toBeCloseTo((Math.PI / 4) * 10 * (0.04 ** 2 + 0.05 ** 2), 12);
  });

  it("cannot know the coefficient of a fitting that no table knows", () => {
    const site = { highPoint_m: 3, ...section(0.04, { kind: "other", count: 1 }) };
    expect(() => dischargePath(site)).toThrow("other has no k and no other bore");
    const lost = { highPoint_m: 3, ...section(0.04, { kind: "reducer", count: 1 }) };
    expect(() => dischargePath(lost)).toThrow("reducer has no k and no other bore");
  });
});

describe("pathLoss", () => {
  it("has no Hazen and Williams for a length without a C", () => {
    const hose: DischargeSite = {
      highPoint_m: 3,
      pipe: { material: "corrugated-hose", nominal_m: 0.0381, insideDiameter_m: null, length_m: 5 },
      fittings: [],
    };
    expect(pathLoss(dischargePath(hose), 10, "hazen-williams")).toBeNull();
    const told = { ...hose, pipe: { ...hose.pipe, hazenWilliamsC: 90 } };
    expect(pathLoss(dischargePath(told), 10, "hazen-williams")?.(0.002)).toBeGreaterThan(0);
  });
});
