// The keys of the site file for discharge and pump curve beyond the simplest: further sizes, risers, own coefficients.

import { describe, expect, it } from "vitest";
import { dischargeHead } from "../../../analysis/hydraulics/discharge-head.ts";
import { headWorksheet } from "../../../analysis/hydraulics/head-worksheet.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import type { Site } from "../../../analysis/site.ts";
import { fromSi, toSi } from "../../../analysis/units/unit.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../daemon/sources/index.ts";

const pipe = (nominal: string, more = "") => `pipe: { material: pvc-40, nominal: ${nominal}, length: 10 ft${more} }`;
const plain = `discharge: { high_point: 10 ft, ${pipe("1-1/2 in")} }`;

describe("a discharge of the site file", () => {
  it("goes on in further sizes, with their own fittings", () => {
    const { discharge } = accepted(
      `discharge: { high_point: 10 ft, ${pipe("1-1/2 in")}, further: [{ ${pipe("2 in")}, fittings: [{ kind: elbow-45 }] }] }`,
    );
    const [first, second] = discharge === null ? [] : headWorksheet(discharge, 0.002, 0).lengths;
    expect(first?.fittings.map(({ kind }) => kind)).toEqual(["enlargement"]);
    expect(second?.label).toBe("2 in PVC schedule 40");
    expect(second?.fittings.map(({ kind }) => kind)).toEqual(["elbow-45", "exit"]);
  });

  it("takes a fitting's own coefficient, a wall's roughness, a C, and the water's temperature", () => {
    const { discharge } = accepted(
      `discharge: { high_point: 10 ft, water_temperature: 50 °F, ${pipe("1-1/2 in", ", roughness: 0.1 mm, hazen_williams_c: 130")}, fittings: [{ kind: other, k: 2.3, count: 2 }] }`,
    );
    if (discharge === null) throw new Error("there is a discharge");
    const { water, lengths } = headWorksheet(discharge, 0.002, 0);
    expect(water.temperature_c).toBeCloseTo(10, 12);
    expect(lengths[0]).toMatchObject({ roughness_m: 0.0001, roughnessSource: "as the site gives it" });
    expect(lengths[0]?.hazenWilliams?.c).toBe(130);
    expect(lengths[0]?.fittings[0]).toMatchObject({ label: "other fitting", k: 2.3, count: 2 });
  });

  it("means what it meant before where it gives none of them", () => {
    const { discharge } = accepted(plain);
    expect(discharge).toEqual({
      highPoint_m: 3.048,
      pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 3.048 },
      fittings: [],
    });
  });

  it("has each of two pumps lead into it through a riser of its own", () => {
    const { discharge } = accepted(`pumps: [{ riser: { ${pipe("1-1/4 in")} } }, {}]\n${plain}`);
    expect(discharge?.risers?.map((riser) => riser?.pipe.nominal_m ?? null)).toEqual([0.03175, null]);
    if (discharge === null) throw new Error("there is a discharge");
    const alone = dischargeHead(discharge, 0.001, 0).frictionHead_m;
    const { risers: _, ...without } = discharge;
    expect(alone).toBeGreaterThan(dischargeHead(without, 0.001, 0).frictionHead_m);
    expect(accepted(`pumps: [{}, {}]\n${plain}`).discharge).not.toHaveProperty("risers");
  });

  it.each([
    [
      `discharge: { high_point: 9 ft, ${pipe("2 in")}, fittings: [{ kind: other }] }`,
      "fittings[0].k: expected the loss",
    ],
    [
      `discharge: { high_point: 9 ft, ${pipe("2 in")}, fittings: [{ kind: union, other_bore: 1 in }] }`,
      "fittings[0].other_bore: expected it of a reducer or an enlargement alone, found it of union",
    ],
    [
      `discharge: { high_point: 9 ft, ${pipe("2 in", ", roughness: 11 mm")} }`,
      "discharge.pipe.roughness: expected at most a fifth of the bore, 10.5 mm (0.4134 in), found 11 mm (0.4331 in)",
    ],
    [
      "discharge: { high_point: 9 ft, pipe: { material: corrugated-hose, inside_diameter: 4 mm, length: 9 ft } }",
      "discharge.pipe.inside_diameter: expected at least five times the wall's roughness, 1 mm (0.03937 in), found 4 mm",
    ],
    [
      `discharge: { high_point: 9 ft, ${pipe("2 in")}, fittings: [{ kind: reducer }] }`,
      "discharge.fittings[0]: expected k, other_bore, or a further length of pipe that it leads into, found none of them",
    ],
    [
      `discharge: { high_point: 9 ft, ${pipe("2 in")}, fittings: [{ kind: enlargement }], further: [{ ${pipe("1 in")} }] }`,
      "discharge.fittings[0]: expected a wider length after it than 52.5 mm (2.067 in), found 26.64 mm (1.049 in)",
    ],
    [`discharge: { high_point: 9 ft, ${pipe("2 in")}, fittings: [{ kind: union, k: -1 }] }`, "fittings[0].k: expected"],
    [
      `discharge: { high_point: 9 ft, ${pipe("2 in")}, water_temperature: 60 °C }`,
      "expected at most 40 °C, found 60 °C",
    ],
    [
      `discharge: { high_point: 9 ft, ${pipe("2 in")}, further: [{ ${pipe("9 in")} }] }`,
      "further[0].pipe.nominal: expected",
    ],
    [
      `pumps: [{}, { riser: { ${pipe("2 in")} } }]`,
      "pumps[1].riser: expected a discharge that it leads into, found none",
    ],
  ])("says what is wrong with %j", (text, expected) => {
    expect(rejected(text)).toContain(expected);
  });
});

describe("a pump of the site file", () => {
  it("gives three figures in place of a curve", () => {
    const { pump } = accepted(
      "pump: { rating: { shut_off_head: 25 ft, rated: [30 gpm, 16 ft], maximum_flow: 52 gpm } }",
    );
    if (pump?.curve == null) throw new Error("there is a curve");
    expect(pump.curveOfThree).toBe(true);
    const curve = pumpCurve(pump.curve);
    expect(fromSi(curve.head_m(toSi(30, "gpm")) ?? Number.NaN, "ft")).toBeCloseTo(16, 9);
    expect(fromSi(curve.shutOffHead_m ?? Number.NaN, "ft")).toBeCloseTo(25, 9);
    expect(curve.head_m(toSi(52, "gpm"))).toBe(0);
  });

  it("gives its efficiencies and what it draws", () => {
    const { pump } = accepted("pump: { efficiency: 40 %, motor_efficiency: 60 %, input_power: 0.5 hp }");
    expect(pump).toMatchObject({ efficiency: 0.4, motorEfficiency: 0.6 });
    expect(pump?.inputPower_w).toBeCloseTo(372.85, 2);
  });

  it.each([
    [
      "pump: { curve: [[0 gpm, 20 ft], [10 gpm, 1 ft]], rating: { shut_off_head: 25 ft, rated: [30 gpm, 16 ft], maximum_flow: 52 gpm } }",
      "pump.rating: expected either curve or rating, found both",
    ],
    [
      "pump: { rating: { shut_off_head: 25 ft, rated: [60 gpm, 16 ft], maximum_flow: 52 gpm } }",
      "pump.rating.rated[0]: expected less than maximum_flow, 196.8 L/min (52 gpm), found 227.1 L/min (60 gpm)",
    ],
    [
      "pump: { rating: { shut_off_head: 15 ft, rated: [30 gpm, 16 ft], maximum_flow: 52 gpm } }",
      "pump.rating.rated[1]: expected less than shut_off_head, 4.572 m (15 ft), found 4.877 m (16 ft)",
    ],
    ["pump: { efficiency: 120 % }", "pump.efficiency: expected at most 100 %, found 120 %"],
  ])("says what is wrong with %j", (text, expected) => {
    expect(rejected(text)).toContain(expected);
  });
});

function parsed(text: string): ReturnType<typeof parseSiteFile> {
  return parseSiteFile(`basin: { shape: round, diameter: 18 in }\n${text}\n`, "/sites/site.yaml", sourceKinds);
}

function accepted(text: string): Site {
  const result = parsed(text);
  if (!result.ok) throw new Error(result.problems.map((problem) => problem.text).join("\n"));
  return result.siteFile.site;
}

function rejected(text: string): string {
  const result = parsed(text);
  return result.ok ? "" : result.problems.map((problem) => problem.text).join("\n");
}
