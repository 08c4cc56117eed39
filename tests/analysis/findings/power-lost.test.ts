import { describe, expect, it } from "vitest";
import { powerLost } from "../../../analysis/findings/power-lost.ts";
import { viewOf } from "./view.ts";

describe("power-lost", () => {
  it("is true at once when the supply is away, false when it is there, and unknown when nobody says", () => {
    expect(powerLost.holds(viewOf({ mainsOn: false }), null)).toBe(true);
    expect(powerLost.holds(viewOf({ mainsOn: true }), null)).toBe(false);
    expect(powerLost.holds(viewOf({ mainsOn: null }), null)).toBeNull();
    expect(powerLost.onDelay_s).toBe(0);
  });

  it("is one loss while the supply comes and goes within half a minute", () => {
    expect(powerLost.offDelay_s).toBe(30);
  });
});
