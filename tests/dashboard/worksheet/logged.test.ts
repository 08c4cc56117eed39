import { h } from "preact";
import { renderToString } from "preact-render-to-string";
import { afterEach, describe, expect, it } from "vitest";
import { site } from "../../../dashboard/live.ts";
import { Logged } from "../../../dashboard/worksheet/logged.tsx";
import { measured } from "../../../dashboard/worksheet/state.ts";
import { analyse } from "../../analysis/analyse.ts";
import { courseReadings, cycle_s, smallSite } from "../../analysis/small-basin.ts";

const { summary } = analyse(smallSite, courseReadings(4 * cycle_s, { interval_s: 5 }));

/** @param unwatched_runs that the level alone shows; undefined: none */
function worksheetSays(unwatched_runs: number | undefined): string {
  site.value = { site: smallSite, invented: false, playing: null, version: "1.2.3" };
  const totals = { ...summary.totals, ...(unwatched_runs !== undefined && { unwatched_runs }) };
  measured.value = { summary: { ...summary, totals }, inflow: [], cycles: [] };
  return renderToString(h(Logged, {}));
}

afterEach(() => {
  site.value = null;
  measured.value = null;
});

describe("what the worksheet says was logged", () => {
  it("has a sentence on runs that went unwatched, where some did", () => {
    expect(worksheetSays(3)).toContain("Beside these starts the water was drawn down 3 times while the pump was said");
    expect(worksheetSays(undefined)).not.toContain("was drawn down");
  });
});
