import { expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { saySeldom } from "../../../daemon/publishers/say-seldom.ts";
import type { LiveState, SiteInfo } from "../../../daemon/server/api-types.ts";
import { site } from "../server/parts.ts";

it("tells the site once, how the instruments do each minute and the report each ten minutes", () => {
  const said: string[] = [];
  let now_s = 0;
  const analyzer = createAnalyzer(site, {});
  const state: LiveState = {
    situation: analyzer.situation(),
    sources: [],
    store: { state: "writing", held: 0, lost: 0, error: null, since_s: null },
    now_s: 0,
    speed: null,
    maxSpeed: null,
    span: null,
    wallStep_s: 0,
  };
  const siteInfo: SiteInfo = { site, invented: true, playing: null, version: "0" };
  const parts = { siteInfo, state: () => state, summary: analyzer.summary, now_s: () => now_s };
  const tick = saySeldom({ about: (name) => said.push(name) }, parts);
  for (now_s = 0; now_s < 1200; now_s++) tick();
  expect(said.filter((name) => name === "site")).toHaveLength(1);
  expect(said.filter((name) => name === "health")).toHaveLength(20);
  expect(said.filter((name) => name === "summary")).toHaveLength(2);
});
