import { describe, expect, it } from "vitest";
import { highestStanding } from "../../../analysis/whatif/highest-standing.ts";

function standing(levels_m: readonly number[], interval_s = 1, rim_m: number | null = null) {
  const standing = highestStanding(rim_m, 1);
  levels_m.forEach((level_m, i) => {
    standing.push(i * interval_s, level_m);
  });
  return standing;
}

describe("highestStanding", () => {
  it("takes the level that three readings in a row reach, and no spike", () => {
    expect(standing([0.2, 0.9, 0.2, 0.3, 0.31, 0.32, 0.2, 0.8, 0.85, 0.2]).highest_m).toBe(0.3);
  });

  it("takes single readings where they come seldom", () => {
    expect(standing([0.2, 0.3, 0.41, 0.3], 60).highest_m).toBe(0.41);
  });

  it("takes no level that no water reaches, and none that is not read", () => {
    expect(standing([Number.NaN, 5, 5, 5, -2]).highest_m).toBeNull();
  });

  it("counts how long the water stood at the rim", () => {
    expect(standing([0.5, 0.756, 0.76, 0.761, 0.758, 0.6], 1, 0.76).atRim_s).toBe(3);
  });

  it("keeps the first level", () => {
    expect(standing([Number.NaN, 0.2, 0.3]).first).toEqual({ time_s: 1, level_m: 0.2 });
  });
});
