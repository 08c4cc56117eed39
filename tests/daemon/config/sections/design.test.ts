import { describe, expect, it } from "vitest";
import { parseSiteFile } from "../../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../../daemon/sources/index.ts";

const basin = "basin: { shape: round, diameter: 18 in }\n";

describe("design.storm", () => {
  it("is the depth, length and distribution of a rainfall table, in SI", () => {
    expect(site("design: { storm: { depth: 4 in, duration: 24 h, distribution: nrcs-type-2 } }").design).toEqual({
      inflowFactor: 1.5,
      storm: { depth_m: 0.1016, duration_s: 86_400, distribution: "nrcs-type-2" },
    });
  });

  it("takes further rows of the table", () => {
    const rows = "[[1 h, 50 mm], [24 h, 120 mm]]";
    const given = `design: { storm: { depth: 120 mm, distribution: balanced, depths: ${rows} } }`;
    expect(site(given).design.storm?.depths).toEqual([
      { duration_s: 3600, depth_m: 0.05 },
      { duration_s: 86_400, depth_m: 0.12 },
    ]);
  });

  it("is left out where none is given", () => {
    expect(site("")).not.toHaveProperty("design.storm");
  });

  it.each([
    ["{ depth: 4, distribution: uniform }", "design.storm.depth: expected a length with its unit"],
    ["{ depth: 0 mm, distribution: uniform }", "design.storm.depth: expected more than 0 mm, found 0 mm"],
    ["{ depth: 40 mm, distribution: nrcs }", "design.storm.distribution: expected"],
    ["{ depth: 40 mm, duration: 1 s, distribution: uniform }", "design.storm.duration: expected at least 5 min"],
    [
      "{ depth: 40 mm, distribution: balanced, depths: [[1 h, 40 mm], [2 h, 30 mm]] }",
      "design.storm.depths[1][1]: expected a depth not below that of the row before, 40 mm (1.575 in), found 30 mm",
    ],
  ])("refuses %s", (storm, problem) => {
    expect(problems(`design: { storm: ${storm} }`)).toContain(problem);
  });
});

describe("basin.inlet_level", () => {
  it("lies above the stop level and not above the floor", () => {
    expect(site("", "inlet_level: 12 in").basin.inletLevel_m).toBeCloseTo(0.3048, 12);
    expect(problems("", "inlet_level: 4 in, stop_level: 6 in")).toContain("basin.stop_level: expected less than inlet");
  });
});

function parse(text: string, more: string) {
  const withMore = basin.replace(" }", more === "" ? " }" : `, ${more} }`);
  return parseSiteFile(`${withMore}${text}\n`, "site.yaml", sourceKinds);
}

function site(text: string, more = "") {
  const parsed = parse(text, more);
  if (!parsed.ok) throw new Error(parsed.problems.map((problem) => problem.text).join("\n"));
  return parsed.siteFile.site;
}

function problems(text: string, more = ""): string {
  const parsed = parse(text, more);
  return parsed.ok ? "" : parsed.problems.map((problem) => problem.text).join("\n");
}
