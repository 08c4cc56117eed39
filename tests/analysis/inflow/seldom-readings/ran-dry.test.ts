import { describe, expect, it } from "vitest";
import type { Mark } from "../../../../analysis/inflow/seldom-readings/over-stretch.ts";
import { ranDry } from "../../../../analysis/inflow/seldom-readings/ran-dry.ts";

/** 20 L between the floats, the lower one at 10 L; levels to 0.1 L. */
const context = { active_m3: 0.02, stop_m3: 0.01, noise_m3: 0.0001 };

/** Half a minute apart, the pump running at those that are told as a volume, resting at those told as null. */
function marks(litres: readonly (number | null)[]): Mark[] {
  return litres.map((volume_l, i) => ({
    time_s: 30 * i,
    volume_m3: (volume_l ?? 20) / 1000,
    ran_s: 0,
    starts: 0,
    runs: 0,
    flutters: 0,
    on: volume_l !== null,
  }));
}

function isDry(litres: readonly (number | null)[], from = 0): boolean {
  const all = marks(litres);
  return ranDry(all, all[from] as Mark, context);
}

describe("ranDry", () => {
  it("sees a pump that runs on through three readings with the water a tenth of the way under where its float opens", () => {
    expect(isDry([null, 15, 7, 7, 7])).toBe(true);
    expect(isDry([null, 15, 7, 7, null])).toBe(false);
    expect(isDry([null, 15, 8.1, 8.1, 8.1])).toBe(false);
  });

  it("takes a pump that draws the water down further for one whose float hangs lower than stated", () => {
    expect(isDry([null, 9, 7.5, 6, 4.5, 3, null])).toBe(false);
  });

  it("asks of the readings from the one given on alone", () => {
    expect(isDry([7, 7, 7, null, 20], 1)).toBe(false);
    expect(isDry([7, 7, 7, null, 20], 0)).toBe(true);
  });
});
