import { describe, expect, it } from "vitest";
import type { Site } from "../../../analysis/site.ts";
import { type Sheet, sheetOf } from "../../../dashboard/worksheet/sheet.ts";
import { siteOf } from "../../../dashboard/worksheet/site-of-sheet.ts";

const base: Site = {
  name: "Invented house",
  timezone: "UTC",
  displayUnits: "us",
  basin: {
    geometry: { shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0.005 },
    depth_m: 0.762,
    startLevel_m: 0.3556,
    stopLevel_m: 0.1524,
    highLevel_m: 0.508,
    overflowLevel_m: 0.762,
    activeVolume: { volume_m3: 0.0325, uVolume_m3: null },
  },
  pump: {
    curve: [
      { flow_m3s: 0, head_m: 7.6 },
      { flow_m3s: 0.003, head_m: 0 },
    ],
    maxStartsPerHour: 20,
    minRun_s: 8,
  },
  discharge: {
    highPoint_m: 3.048,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6.7 },
    fittings: [
      { kind: "elbow-90", count: 2 },
      { kind: "elbow-90", count: 1 },
      { kind: "other", count: 1, lossCoefficient: 3 },
    ],
  },
  design: { inflowFactor: 1.5 },
};

const withNumbers = (numbers: Sheet["numbers"]): Sheet => {
  const sheet = sheetOf(base);
  return { ...sheet, numbers: { ...sheet.numbers, ...numbers } };
};

describe("the worksheet's copy of the site", () => {
  it("is the site again while nothing has been changed, like fittings counted together", () => {
    const { site, asked, problems } = siteOf(sheetOf(base), base, "us");
    expect(site.basin).toEqual({ ...base.basin, inletLevel_m: null });
    expect(site.discharge).toEqual({
      ...base.discharge,
      fittings: [
        { kind: "elbow-90", count: 3 },
        { kind: "other", count: 1, lossCoefficient: 3 },
      ],
    });
    expect(site.pump).toEqual({ ...base.pump, inputPower_w: null });
    expect(site.backup).toBeNull();
    expect([asked, problems]).toEqual([[], []]);
  });

  it("asks for what is missing and leaves the part out, and makes nothing up", () => {
    const { site, asked } = siteOf(withNumbers({ highPoint: null, stop: null }), base, "us");
    expect(site.discharge).toBeNull();
    expect(site.basin.stopLevel_m).toBeNull();
    expect(asked).toEqual(["stop", "highPoint"]);
    const none = siteOf({ ...sheetOf(base), curve: [] }, base, "us");
    expect(none.site.pump?.curve).toBeNull();
    expect(none.asked).toEqual(["curveFlow"]);
  });

  it("forgets what was poured in by the bucket once another float or basin is tried", () => {
    expect(siteOf(withNumbers({ start: 0.4 }), base, "us").site.basin.activeVolume).toBeNull();
    expect(siteOf(withNumbers({ diameter: 0.6 }), base, "us").site.basin.activeVolume).toBeNull();
    expect(siteOf(withNumbers({ highPoint: 4 }), base, "us").site.basin.activeVolume).toEqual(base.basin.activeVolume);
  });

  it("says which levels cannot both be right, and reckons without the upper one", () => {
    const { site, problems } = siteOf(withNumbers({ start: 0.1 }), base, "us");
    expect(problems).toEqual([{ kind: "not-below", lower: "stop", upper: "start" }]);
    expect(site.basin.startLevel_m).toBeNull();
    expect(site.basin.highLevel_m).toBe(0.508);
  });

  it("says that a pump leaves the water no room", () => {
    const { site, problems } = siteOf(withNumbers({ occupied: 0.2 }), base, "us");
    expect(problems).toEqual([{ kind: "no-room" }]);
    expect(site.basin.geometry).toEqual(base.basin.geometry);
  });

  it("says why points are no pump's curve, with both figures", () => {
    const curve = [
      { flow_m3s: 0, head_m: 5 },
      { flow_m3s: 0.001, head_m: 6 },
    ];
    const { site, problems } = siteOf({ ...sheetOf(base), curve }, base, "metric");
    expect(site.pump?.curve).toBeNull();
    expect(problems).toEqual([
      {
        kind: "curve",
        words: "A pump's head falls as its flow rises: 6.00 m at 60.0 L/min is more than 5.00 m before it.",
      },
    ]);
  });

  it("takes an own inside diameter in place of the size", () => {
    const { site } = siteOf(withNumbers({ bore: 0.05 }), base, "us");
    expect(site.discharge?.pipe).toMatchObject({ nominal_m: null, insideDiameter_m: 0.05 });
  });

  it("takes a battery once a power cut or its capacity is named, and a storm once it is whole", () => {
    const { site } = siteOf(withNumbers({ hold: 14_400, backupPower: 500, stormDepth: 0.1 }), base, "us");
    expect(site.backup).toMatchObject({ hold_s: 14_400, volts: 12, ratedHours: 20, pumpPower_w: 500 });
    expect(site.design.storm).toBeUndefined();
    const whole = { ...withNumbers({ stormDepth: 0.1, stormDuration: 86_400 }), distribution: "nrcs-type-2" as const };
    expect(siteOf(whole, base, "us").site.design.storm).toEqual({
      depth_m: 0.1,
      duration_s: 86_400,
      distribution: "nrcs-type-2",
    });
  });
});
