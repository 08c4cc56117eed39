import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadSiteFile } from "../../daemon/config/load-site-file.ts";

const folder = join(import.meta.dirname, "../../deploy/sites");
const files = readdirSync(folder);

describe("the sample site files", () => {
  it.each(files)("%s holds", (file) => {
    const loaded = loadSiteFile(join(folder, file));
    expect(loaded.ok ? [] : loaded.problems.map(({ text }) => text)).toEqual([]);
  });

  it("show every shape of basin, both systems of units and how to read another logger", () => {
    const loaded = files
      .map((file) => loadSiteFile(join(folder, file)))
      .flatMap((each) => (each.ok ? [each.siteFile] : []));
    expect(new Set(loaded.map(({ site }) => site.basin.geometry.shape))).toEqual(
      new Set(["round", "rectangular", "table"]),
    );
    expect(new Set(loaded.map(({ site }) => site.displayUnits))).toEqual(new Set(["us", "metric"]));
    expect(loaded.some(({ recording }) => recording.columns.level_ft === "cistern_level")).toBe(true);
  });
});
