import { describe, expect, it } from "vitest";
import { leapOrWater } from "../../../../analysis/inflow/poured-in/leap-or-water.ts";

const pour_m3 = 0.01;
const uTrip_m3 = 0.0005;

describe("leapOrWater", () => {
  it("takes for water what lets the float trip where it did before", () => {
    expect(leapOrWater(pour_m3, 0.0008, uTrip_m3)).toBe("water");
  });

  it("takes for the sensor's leap what the float seems to have moved by", () => {
    expect(leapOrWater(pour_m3, pour_m3 - 0.0008, uTrip_m3)).toBe("leap");
  });

  it("says nothing between the two, nor where the float scatters by as much as was poured", () => {
    expect(leapOrWater(pour_m3, pour_m3 / 2, uTrip_m3)).toBeNull();
    expect(leapOrWater(pour_m3, pour_m3, 0.004)).toBeNull();
  });
});
