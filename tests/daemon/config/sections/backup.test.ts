import { describe, expect, it } from "vitest";
import { parseSiteFile } from "../../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../../daemon/sources/index.ts";

describe("backup", () => {
  it("turns what is stated into SI, and leaves what is not stated open", () => {
    expect(backup("{ hold: 24 h, capacity: 100 Ah, temperature: 50 °F, inverter_idle: 8 W }")).toEqual({
      hold_s: 86_400,
      capacity_ah: 100,
      volts: 12,
      ratedHours: 20,
      peukertExponent: 1.2,
      depthOfDischarge: 0.5,
      inverterEfficiency: 0.85,
      inverterIdle_w: 8,
      temperature_c: 10,
      ageingFactor: 1.25,
      pumpPower_w: null,
      pumpFlow_m3s: null,
    });
  });

  it.each([
    ["{ capacity: 100 }", "backup.capacity: expected a charge with its unit, such as 100 Ah"],
    ["{ voltage: 12 Ah }", 'backup.voltage: expected a voltage with its unit, such as 12 V (units: V), found "12 Ah"'],
    ["{ depth_of_discharge: 120 % }", "backup.depth_of_discharge: expected at most 100 %, found 120 %"],
    ["{ peukert_exponent: 0.9 }", "backup.peukert_exponent: expected"],
    ["{ hours: 3 h }", "backup.hours: unknown"],
  ])("refuses %s", (text, problem) => {
    const parsed = parse(text);
    expect(parsed.ok ? "" : parsed.problems.map(({ text: line }) => line).join("\n")).toContain(problem);
  });
});

function parse(text: string) {
  return parseSiteFile(`basin: { shape: round, diameter: 18 in }\nbackup: ${text}\n`, "site.yaml", sourceKinds);
}

function backup(text: string) {
  const parsed = parse(text);
  if (!parsed.ok) throw new Error(parsed.problems.map((problem) => problem.text).join("\n"));
  return parsed.siteFile.site.backup;
}
