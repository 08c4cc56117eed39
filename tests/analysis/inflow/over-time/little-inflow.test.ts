import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../../../analysis/geometry/basin.ts";
import { isLittle, movesAtLeast_m3s } from "../../../../analysis/inflow/over-time/little-inflow.ts";
import { cyclesLike, flow } from "../../findings/view.ts";
import { smallSite } from "../../small-basin.ts";

const geometry = basinGeometry(smallSite.basin.geometry);

describe("little inflow", () => {
  it("is less than three tenths of what the pump moves; where nothing is known of that, nobody knows", () => {
    expect(isLittle(flow(0.29), 1)).toBe(true);
    expect(isLittle(flow(0.31), 1)).toBe(false);
    expect(isLittle(flow(0.29), null)).toBe(false);
    expect(isLittle(null, 1)).toBe(false);
  });
});

describe("what a pump moves at the least", () => {
  it("is what lay between start and stop over the run and an interval between readings at either end", () => {
    // 0.2 m of 0.1 m², in runs of 20 s read every 10 s.
    expect(movesAtLeast_m3s(cyclesLike({ run_s: 20 }), geometry, 10)).toBeCloseTo(0.02 / 40, 9);
  });

  it("goes by the middle of several runs whose levels are known, and by no fewer", () => {
    const cycles = [...cyclesLike({ run_s: 20 }, 4), ...cyclesLike({ run_s: 900 }, 1)];
    expect(movesAtLeast_m3s(cycles, geometry, 10)).toBeCloseTo(0.02 / 40, 9);
    expect(movesAtLeast_m3s(cyclesLike({}, 3), geometry, 10)).toBeNull();
    expect(movesAtLeast_m3s(cyclesLike({ startLevel_m: null }), geometry, 10)).toBeNull();
  });
});
