import { describe, expect, it } from "vitest";
import { velocityOpinion } from "../../../analysis/hydraulics/pipe-velocity.ts";
import { toSi } from "../../../analysis/units/unit.ts";

describe("velocityOpinion", () => {
  it.each([
    [1.9, "settles", "less than the 2.0 ft/s (0.61 m/s) that keep sand and silt moving (30 Tex. Admin. Code §317.3"],
    [2, "good", "fast enough"],
    [5, "good", "slow enough to be quiet"],
    [5.1, "noisy", "common practice, no source"],
    [8, "noisy", "a wider pipe is quieter"],
    [8.1, "hammers", "water hammer"],
  ])("at %d ft/s: %s", (feet_s, verdict, words) => {
    const opinion = velocityOpinion(toSi(feet_s, "ft"), "us");
    expect(opinion.verdict).toBe(verdict);
    expect(opinion.message).toContain(words);
  });

  it("puts metres first where the site does", () => {
    expect(velocityOpinion(1.2, "metric").message).toMatch(
      /^The water goes through the pipe at 1\.20 m\/s \(3\.9 ft\/s\)/,
    );
  });
});
