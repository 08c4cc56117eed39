// Student's t against the printed tables, and against the coverage factor of the GUM's first example.

import { describe, expect, it } from "vitest";
import { studentTQuantile } from "../../analysis/statistics/student-t.ts";

// scipy.stats.t.ppf, four decimals; the same as in any textbook's table.
const probabilities = [0.9, 0.95, 0.975, 0.99, 0.995];
const table: readonly (readonly [degreesOfFreedom: number, ...quantiles: number[]])[] = [
  [1, 3.0777, 6.3138, 12.7062, 31.8205, 63.6567],
  [2, 1.8856, 2.92, 4.3027, 6.9646, 9.9248],
  [3, 1.6377, 2.3534, 3.1824, 4.5407, 5.8409],
  [4, 1.5332, 2.1318, 2.7764, 3.7469, 4.6041],
  [5, 1.4759, 2.015, 2.5706, 3.3649, 4.0321],
  [6, 1.4398, 1.9432, 2.4469, 3.1427, 3.7074],
  [8, 1.3968, 1.8595, 2.306, 2.8965, 3.3554],
  [10, 1.3722, 1.8125, 2.2281, 2.7638, 3.1693],
  [12, 1.3562, 1.7823, 2.1788, 2.681, 3.0545],
  [15, 1.3406, 1.7531, 2.1314, 2.6025, 2.9467],
  [16, 1.3368, 1.7459, 2.1199, 2.5835, 2.9208],
  [20, 1.3253, 1.7247, 2.086, 2.528, 2.8453],
  [30, 1.3104, 1.6973, 2.0423, 2.4573, 2.75],
  [60, 1.2958, 1.6706, 2.0003, 2.3901, 2.6603],
  [120, 1.2886, 1.6577, 1.9799, 2.3578, 2.6174],
  [Number.POSITIVE_INFINITY, 1.2816, 1.6449, 1.96, 2.3263, 2.5758],
];

describe("Student's t", () => {
  it.each(table)("with %d degrees of freedom is as tabulated, to half a unit of the last digit", (df, ...quantiles) => {
    for (const [i, printed] of quantiles.entries()) {
      expect(Math.abs(studentTQuantile(probabilities[i] ?? Number.NaN, df) - printed)).toBeLessThanOrEqual(0.5001e-4);
    }
  });

  it("gives the factor 2.92 for 99 % and 16 degrees of freedom of GUM example H.1 (JCGM 100:2008)", () => {
    expect(studentTQuantile(0.995, 16)).toBeCloseTo(2.92, 2);
  });
});
