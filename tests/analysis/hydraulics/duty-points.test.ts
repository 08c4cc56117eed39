import { describe, expect, it } from "vitest";
import { dutyPoint } from "../../../analysis/hydraulics/duty-point.ts";
import { dutyPoints } from "../../../analysis/hydraulics/duty-points.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import type { PumpSite, Site } from "../../../analysis/site.ts";
import { smallSite } from "../small-basin.ts";

const curve = [
  { flow_m3s: 0, head_m: 7.6 },
  { flow_m3s: 0.0013, head_m: 6.1 },
  { flow_m3s: 0.0025, head_m: 3.4 },
  { flow_m3s: 0.0033, head_m: 0 },
];
const pump: PumpSite = { curve, maxStartsPerHour: null, minRun_s: null };
const site: Site = {
  ...smallSite,
  pump,
  discharge: {
    highPoint_m: 3,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6 },
    fittings: [],
  },
};

describe("dutyPoints", () => {
  it("lists start and stop level, as given, worn and clogged", () => {
    const rows = dutyPoints(site);
    expect(rows.map(({ at, condition }) => `${at} ${condition}`)).toEqual([
      "start as-given",
      "start worn",
      "start clogged",
      "stop as-given",
      "stop worn",
      "stop clogged",
    ]);
    const [start, worn, clogged, stop] = rows.map(({ flow_m3s }) => flow_m3s ?? Number.NaN);
    const { discharge, basin } = site;
    if (discharge === null) throw new Error("there is one");
    expect(start).toBe(dutyPoint(pumpCurve(curve), discharge, basin.startLevel_m ?? 0)?.flow_m3s);
    for (const less of [worn, clogged, stop]) expect(less).toBeLessThan(start ?? 0);
  });

  it("says how well each flow is known, and nothing of one that hardly flows", () => {
    for (const { flow_m3s, uFlow_m3s } of dutyPoints(site)) {
      expect((uFlow_m3s ?? Number.NaN) / (flow_m3s ?? Number.NaN)).toBeGreaterThan(0.01);
      expect((uFlow_m3s ?? Number.NaN) / (flow_m3s ?? Number.NaN)).toBeLessThan(0.1);
    }
    const nearShutOff = site.discharge && { ...site.discharge, highPoint_m: 7.69 };
    const rows = dutyPoints({ ...site, discharge: nearShutOff }, { wear: null, closedShare: null });
    expect(rows.at(-1)).toMatchObject({ uFlow_m3s: null, reason: null });
  });

  it("lists of two pumps each alone and both together", () => {
    const rows = dutyPoints({ ...site, pumps: [pump, pump] }, { wear: null, closedShare: null });
    expect(rows.map(({ at, pumps }) => `${at} ${pumps}`)).toEqual([
      "start first",
      "start second",
      "start both",
      "stop first",
      "stop second",
      "stop both",
    ]);
    expect(rows[2]?.flow_m3s).toBeGreaterThan(rows[0]?.flow_m3s ?? Number.NaN);
  });

  it("says why where the curves do not meet, and nothing without a curve or a discharge", () => {
    const tower = site.discharge && { ...site.discharge, highPoint_m: 9 };
    expect(dutyPoints({ ...site, discharge: tower })[0]).toMatchObject({ flow_m3s: null, reason: "head-too-low" });
    expect(dutyPoints({ ...site, pump: null })).toEqual([]);
    expect(dutyPoints({ ...site, discharge: null })).toEqual([]);
  });
});
