import { describe, expect, it } from "vitest";
import { isOver } from "../../../../analysis/inflow/seldom-readings/over-floats.ts";

const floats = { active_m3: 0.02, stop_m3: 0.01, noise_m3: 0, scatter_m3: 0 };
const above = { time_s: 0, volume_m3: 0.035 };

describe("water over where a float starts the pump", () => {
  it("stands where no cycle goes", () => {
    expect(isOver(above, floats)).toBe(true);
  });

  it("may be in its cycle where the float trips now lower, now higher", () => {
    expect(isOver(above, { ...floats, scatter_m3: 0.002 })).toBe(false);
  });
});
