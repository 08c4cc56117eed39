// Hazen–Williams in the pipe sizes of this program against a state code's friction table, ft per 100 ft, C = 150:
// Ill. Admin. Code tit. 77 pt. 906 App. A Exh. I, Schedule 40 plastic.

import { describe, expect, it } from "vitest";
import { hazenWilliamsLoss_m } from "../../analysis/hydraulics/hazen-williams.ts";
import { pipeSizes } from "../../analysis/hydraulics/pipe-table.ts";
import { toSi } from "../../analysis/units/unit.ts";

const rows: readonly (readonly [size: string, gpm: number, ftPer100ft: number])[] = [
  ["1-1/4 in", 5, 0.39],
  ["1-1/4 in", 8, 0.97],
  ["1-1/4 in", 10, 1.46],
  ["1-1/4 in", 15, 3.06],
  ["1-1/4 in", 20, 5.23],
  ["1-1/2 in", 5, 0.18],
  ["1-1/2 in", 8, 0.46],
  ["1-1/2 in", 10, 0.7],
  ["1-1/2 in", 15, 1.45],
  ["1-1/2 in", 20, 2.46],
  ["1-1/2 in", 25, 3.75],
  ["1-1/2 in", 30, 5.22],
  ["2 in", 8, 0.14],
  ["2 in", 10, 0.21],
  ["2 in", 15, 0.44],
  ["2 in", 20, 0.74],
  ["2 in", 25, 1.1],
  ["2 in", 30, 1.54],
  ["2 in", 35, 2.05],
  ["2 in", 40, 2.62],
  ["2 in", 45, 3.27],
  ["2 in", 50, 3.98],
  ["3 in", 20, 0.12],
  ["3 in", 30, 0.23],
  ["3 in", 40, 0.39],
  ["3 in", 50, 0.58],
  ["3 in", 60, 0.81],
  ["3 in", 80, 1.38],
  ["3 in", 100, 2.09],
];

describe("friction table of Ill. Admin. Code tit. 77 pt. 906", () => {
  // The table rounds to 0.01: entries under 1 ft are held to 6 % or 0.02 ft, the others to 1 %.
  it.each(rows)("%s at %d gpm loses %d ft in 100 ft", (label, gpm, printed) => {
    const size = pipeSizes("pvc-40").find((each) => each.label === label);
    const loss = hazenWilliamsLoss_m(toSi(gpm, "gpm"), size?.insideDiameter_m ?? Number.NaN, 100, 150);
    expect(Math.abs(loss - printed)).toBeLessThan(printed < 1 ? Math.max(0.06 * printed, 0.02) : 0.01 * printed);
  });
});
