import { describe, expect, it } from "vitest";
import {
  addCorner,
  noCorners,
  uncertaintyOver,
  uWhenTurns_m3,
} from "../../../../analysis/inflow/over-time/volume-corners.ts";

const sure = { u_m3s: 0, uNotNoise_m3s: 0, uUpTo_m3: 0, estimate: 0 };

/** Stretches of 15 s of one estimate, ten minutes and two on either side of it, and a bucket in its tenth. */
function rest(uUpTo_m3 = Number.POSITIVE_INFINITY, uInAll_m3 = uUpTo_m3) {
  const corners = noCorners();
  addCorner(corners, { ...sure, time_s: 0, volume_m3: 0 });
  addCorner(corners, { ...sure, time_s: 120, volume_m3: 0 });
  for (let i = 1; i <= 40; i++) {
    const told = { u_m3s: 1e-5, uNotNoise_m3s: 0, uUpTo_m3: i < 40 ? uUpTo_m3 : uInAll_m3, estimate: 1 };
    addCorner(corners, { ...told, time_s: 120 + 15 * i, volume_m3: i < 10 ? 0 : 0.01 });
  }
  addCorner(corners, { ...sure, time_s: 840, volume_m3: 0.01, estimate: 2 });
  return corners;
}

describe("uncertaintyOver", () => {
  it("adds what is off over an estimate's stretches, where no more is known of them", () => {
    expect(uncertaintyOver(rest(), 120, 720)).toBeCloseTo(600 * 1e-5, 12);
    expect(uncertaintyOver(rest(), 200, 260)).toBeCloseTo(60 * 1e-5, 12);
  });

  it("knows what an estimate as a whole brought, whenever in it that came", () => {
    expect(uncertaintyOver(rest(2e-4, 1e-4), 60, 780)).toBeCloseTo(1e-4, 12);
  });

  it("knows as well as the levels at either end what came in between where it cuts through an estimate", () => {
    expect(uncertaintyOver(rest(2e-4), 0, 420)).toBeCloseTo(2e-4, 12);
    expect(uncertaintyOver(rest(2e-4), 180, 480)).toBeCloseTo(Math.SQRT2 * 2e-4, 12);
    // Ten seconds of one stretch are surer than that.
    expect(uncertaintyOver(rest(2e-4), 200, 210)).toBeCloseTo(10 * 1e-5, 12);
  });
});

describe("uWhenTurns_m3", () => {
  it("is that of water that began to come so much faster anywhere in half a part before or after", () => {
    expect(uWhenTurns_m3(1e-4, 4e-4, 12)).toBeCloseTo((3e-4 * 12) / Math.sqrt(12), 12);
    expect(uWhenTurns_m3(2e-4, 2e-4, 12)).toBe(0);
  });
});
