import { describe, expect, it } from "vitest";
import { layOver } from "../../daemon/lay-over.ts";

const site = {
  site: { name: "House" },
  basin: { shape: "round", diameter: "18 in", occupied_area: "50 cm2", start_level: "14 in" },
  pump: { curve: [["0 gpm", "25 ft"]], max_starts_per_hour: 20 },
  discharge: {
    high_point: "10 ft",
    pipe: { material: "pvc-40", nominal: "1-1/2 in", length: "22 ft" },
    fittings: [{ kind: "elbow-90" }],
  },
};

describe("layOver", () => {
  it("leaves what a candidate does not speak of as it is", () => {
    expect(layOver(site, {})).toEqual(site);
  });

  it("changes single keys of the basin", () => {
    expect(layOver(site, { basin: { start_level: "10 in" } }).basin).toEqual({ ...site.basin, start_level: "10 in" });
  });

  it("keeps none of the old sizes of a basin of another shape", () => {
    expect(layOver(site, { basin: { shape: "rectangular", width: "40 cm", length: "60 cm" } }).basin).toEqual({
      shape: "rectangular",
      width: "40 cm",
      length: "60 cm",
      start_level: "14 in",
    });
  });

  it("keeps nothing of a pump that another takes the place of", () => {
    expect(layOver(site, { pump: { curve: [] } }).pump).toEqual({ curve: [] });
    const two = layOver(site, { pumps: [{ name: "a" }, { name: "b" }] });
    expect([two.pump, two.pumps]).toEqual([undefined, [{ name: "a" }, { name: "b" }]]);
  });

  it("takes a pipe's other size for the old one, however either is given, and keeps its length", () => {
    expect(layOver(site, { discharge: { pipe: { inside_diameter: "52 mm" } } }).discharge).toEqual({
      ...site.discharge,
      pipe: { material: "pvc-40", inside_diameter: "52 mm", length: "22 ft" },
    });
  });

  it("takes a list as a whole", () => {
    const over = layOver(site, { discharge: { fittings: [{ kind: "ball-valve" }] } });
    expect(over.discharge).toMatchObject({ fittings: [{ kind: "ball-valve" }], pipe: site.discharge.pipe });
  });
});
