import { describe, expect, it } from "vitest";
import {
  addToTotal,
  endNeighbours,
  newTotal,
  noteAlike,
  uTotal_m3,
} from "../../../../analysis/inflow/over-time/total-inflow.ts";

describe("uTotal_m3", () => {
  it("knows the sum as well as its estimates: alike within one, by 1/√2 with a neighbour, not at all across a gap", () => {
    const total = newTotal();
    addToTotal(total, 10, 1, 0.3, 1);
    addToTotal(total, 10, 1, 0.3, 1);
    expect(uTotal_m3(total)).toBeCloseTo(6, 12);
    addToTotal(total, 10, 1, 0.8, 2);
    expect(uTotal_m3(total)).toBeCloseTo(Math.sqrt(36 + 64 + Math.SQRT2 * 6 * 8), 12);
    endNeighbours(total);
    addToTotal(total, 10, 1, 0.5, 3);
    expect(uTotal_m3(total)).toBeCloseTo(Math.sqrt(36 + 64 + Math.SQRT2 * 6 * 8 + 25), 12);
    expect([total.totalVolume_m3, total.totalTime_s]).toEqual([40, 40]);
  });

  it("is no surer of the sum for many estimates that may be off alike", () => {
    const total = newTotal();
    for (let i = 0; i < 9; i += 1) {
      endNeighbours(total);
      addToTotal(total, 10, 1, 0.8, i);
      noteAlike(total, 2);
    }
    expect(uTotal_m3(total)).toBeCloseTo(Math.hypot(8 * Math.sqrt(9), 2 * 9), 12);
  });
});
