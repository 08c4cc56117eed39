import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { placeOf, urgencyTable } from "../../../daemon/central/urgency.ts";

describe("the table of urgency", () => {
  it("is what the README shows", () => {
    const readme = readFileSync(new URL("../../../daemon/central/README.md", import.meta.url), "utf8");
    const rows = readme.split("\n").filter((line) => /^\| `[a-z-]+` \| (now|silent|soon|service|well) /.test(line));
    expect(rows).toEqual(urgencyTable.map(({ kind, tier, why }) => `| \`${kind}\` | ${tier} | ${why} |`));
  });

  it("goes from what needs someone now to what is well, and says of each why it stands there", () => {
    const order = ["now", "silent", "soon", "service", "well"];
    const tiers = urgencyTable.map(({ tier }) => order.indexOf(tier));
    expect(tiers).toEqual(tiers.toSorted((a, b) => a - b));
    for (const { why } of urgencyTable) expect(why).toMatch(/^[A-Z].{10,}[.]$/);
  });

  it("puts what it does not know last among its like, by how severe the board calls it", () => {
    expect(placeOf("unheard-of", "critical")).toMatchObject({ tier: "now" });
    expect(placeOf("unheard-of", "critical").rank).toBeGreaterThan(placeOf("float-stuck-on").rank);
    expect(placeOf("unheard-of", "critical").rank).toBeLessThan(placeOf("silent").rank);
    expect(placeOf("unheard-of", "info").rank).toBeLessThan(placeOf("service-due").rank);
  });
});
