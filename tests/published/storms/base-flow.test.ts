// Base-flow filters on the daily flows of the Bass River at Loch, 30 June to 4 September 1974, ML/day (Grayson et al. 1996,
// Hydrological Recipes), by the recipe of Ladson et al. (2013), Aust. J. Water Resources 17(1). The sums were computed with
// an independent implementation of the recipe; no printed sums were found.

import { describe, expect, it } from "vitest";
import { eckhardt, lyneHollick } from "../../../analysis/storms/base-flow.ts";

const bassRiver = [
  5, 7, 108, 117, 57, 36, 26, 95, 1169, 308, 144, 89, 62, 48, 40, 35, 73, 82, 342, 393, 310, 275, 260, 245, 256, 141,
  119, 934, 382, 158, 96, 122, 103, 83, 67, 148, 366, 161, 119, 82, 330, 294, 261, 266, 153, 247, 703, 498, 286, 163,
  124, 85, 94, 81, 62, 47, 37, 30, 26, 24, 24, 22, 21, 20, 19, 18, 18,
];
const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);

describe("lyneHollick", () => {
  it.each([
    [0.9, 4788.8144],
    [0.925, 4501.3893],
    [0.95, 4007.0718],
    [0.98, 2283.4253],
    [0.987, 1430.0031],
  ])("finds the base flow of three passes at alpha %d", (alpha, total) => {
    expect(sum(lyneHollick(bassRiver, alpha))).toBeCloseTo(total, 3);
  });

  it("gives the published package's base-flow indices of 0.39 and 0.20 (Wasko and Guo 2022, Hydrol. Process. 36, e14563)", () => {
    expect(sum(lyneHollick(bassRiver, 0.925)) / sum(bassRiver)).toBeCloseTo(0.39, 2);
    expect(sum(lyneHollick(bassRiver, 0.98)) / sum(bassRiver)).toBeCloseTo(0.2, 2);
  });

  it("agrees day by day", () => {
    const expected = [5, 7, 54.323, 58.303, 57, 36, 26, 57.229, 61.212, 65.9, 69.944, 72.456, 62, 48, 40, 35, 65.952];
    lyneHollick(bassRiver, 0.925)
      .slice(0, expected.length)
      .forEach((base, day) => {
        expect(base).toBeCloseTo(expected[day] as number, 3);
      });
  });
});

describe("eckhardt", () => {
  it.each([
    [0.8, 5432.992],
    [0.5, 3510.314],
    [0.25, 1771.422],
  ])("finds the base flow at a highest index of %d", (mostBfi, total) => {
    expect(sum(eckhardt(bassRiver, 0.98, mostBfi))).toBeCloseTo(total, 3);
  });
});
