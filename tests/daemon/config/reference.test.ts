import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { siteFileReference } from "../../../daemon/config/reference.ts";
import { sourceKinds } from "../../../daemon/sources/index.ts";

const reference = siteFileReference(sourceKinds);
const rows = reference.split("\n").filter((line) => line.startsWith("| `"));

describe("the reference of the site file", () => {
  it("is what the schema says; if not, run: node daemon/config/reference.ts", () => {
    const file = readFileSync(new URL("../../../daemon/config/reference.md", import.meta.url), "utf8");
    expect(file).toBe(reference);
  });

  it("says what every key means", () => {
    expect(rows.length).toBeGreaterThan(50);
    for (const row of rows) expect(row).toMatch(/^\| `[^`]+` +\| \S/);
  });

  it("has a section for every kind of source", () => {
    for (const { kind } of sourceKinds) expect(reference).toContain(`### sources, kind ${kind}\n`);
  });

  it("names units, choices, limits and defaults", () => {
    const squeezed = rows.map((row) => row.replaceAll(/ +/g, " "));
    expect(squeezed).toContain("| `basin.depth` | inside bottom to rim | length | none |");
    expect(squeezed).toContain("| `site.display_units` | the units that people read | `us`, `metric` | `metric` |");
    expect(squeezed).toContain(
      "| `server.port` | port of the page; 0 takes any that is free | whole number, 0 to 65535 | `8047` |",
    );
    expect(squeezed).toContain(
      "| `basin.shape` | how the basin is described | `round`, `rectangular`, `table` | required |",
    );
  });
});
