// A float that chattered for some hours and was freed: runs that are whole again take no longer than they did before.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { FindingKind } from "../../analysis/findings/finding.ts";
import { drawHouse, hour_s } from "../truth/plan.ts";
import { play } from "../truth/play.ts";
import { randomOf } from "../truth/random.ts";
import { filledIn, spell } from "../truth/scenarios/sick-house.ts";

describe("a float that was freed", () => {
  it.each([16, 17, 18])("leaves no discharge blocked, played %i", (seed) => {
    const house = drawHouse(randomOf("freed", seed));
    const plan = {
      ...house,
      days: 0.75,
      sample_s: 2,
      weather: filledIn(house, 700),
      ...spell(house, { float: "chatter" }, 7 * hour_s, 10 * hour_s),
      senses: { ...house.senses, white_m: 0.0025, step_m: 0.002, channels: ["level", "pumpOn"] as const },
    };
    const told = new Set<FindingKind>();
    const analyzer = createAnalyzer(plan.site, { sink: { finding: ({ kind }) => told.add(kind) } });
    for (const reading of play(plan, "freed", seed).readings) analyzer.push(reading);
    analyzer.finish();
    expect([...told]).not.toContain("discharge-blocked");
  });
});
