import { describe, expect, it } from "vitest";
import { findingLine } from "../../daemon/finding-line.ts";
import { finding } from "./server/parts.ts";

describe("the console's line of a finding", () => {
  it("says what to do when it begins", () => {
    expect(findingLine(finding, "began", "us")).toBe("power-lost began: See to the supply.");
  });

  it("says how long it lasted and what it came to when it ends, and gives no more advice", () => {
    const evidence = { highFloat: true, highest_level_m: 0.508, uInflow_m3s: 1e-6, inflow_m3s: 1e-3, at_s: 1.7e9 };
    const ended = { ...finding, to_s: finding.from_s + 720, evidence };
    expect(findingLine(ended, "ended", "metric")).toBe(
      "power-lost ended after 12 min: highest level 508 mm (20 in), inflow 60 L/min (15.9 gpm)",
    );
    expect(findingLine({ ...ended, evidence: {} }, "ended", "us")).toBe("power-lost ended after 12 min");
  });
});
