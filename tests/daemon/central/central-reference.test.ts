import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { centralReference } from "../../../daemon/central/config/central-reference.ts";

describe("the reference of the central view's file", () => {
  it("is what the schema says; if not, run: node daemon/central/config/central-reference.ts", () => {
    const file = readFileSync(new URL("../../../daemon/central/config/central-reference.md", import.meta.url), "utf8");
    expect(file).toBe(centralReference());
  });

  it("says what every key means", () => {
    const rows = centralReference()
      .split("\n")
      .filter((line) => line.startsWith("| `"));
    expect(rows.length).toBeGreaterThan(40);
    for (const row of rows) expect(row).toMatch(/^\| `[^`]+` +\| \S/);
  });
});
