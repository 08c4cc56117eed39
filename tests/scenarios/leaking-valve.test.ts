// A check valve that gives way between two runs and leaks for minutes after each stop: what ran back is in no peak once
// the stops have shown it. Basins of the accuracy bench.

import { describe, expect, it } from "vitest";
import { scenarios } from "../truth/scenarios/index.ts";
import { scoreOf } from "../truth/score.ts";

/** A guard against hanging alone. */
const slow_ms = 600_000;

describe("the peaks over a day on which a check valve gave way", () => {
  it.each([
    ["it gave way half a minute before a start", "valve leaks through a gap, in a minute or three", 2],
    ["its water came down at once and started the pump", "no check valve at all", 8],
    ["it let the water down as if the level leapt", "valve leaks, fading, in a minute or three", 4],
    ["it brought so much that rests were followed as a storm", "valve leaks through a gap, in a minute or three", 6],
    ["one rest's leak was met by a step that looked poured in", "valve leaks through a gap, in a minute or three", 7],
  ])(
    "are those of the inflow, where %s",
    async (_, name, seed) => {
      const scenario = scenarios.find((one) => one.name === name);
      if (scenario === undefined) throw new Error(`no scenario is called ${name}`);
      const { peaks } = await scoreOf(scenario, seed);
      for (const peak of Object.values(peaks)) expect(Math.abs(peak ?? Number.NaN)).toBeLessThan(0.03);
    },
    slow_ms,
  );
});
