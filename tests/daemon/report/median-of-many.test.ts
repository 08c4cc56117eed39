import { describe, expect, it } from "vitest";
import { medianOfMany } from "../../../daemon/report/median-of-many.ts";

function medianOf(values: Iterable<number>, mostKept?: number): number | null {
  const many = medianOfMany(mostKept);
  for (const value of values) many.add(value);
  return many.median();
}

describe("medianOfMany", () => {
  it("is exact while there are few", () => {
    expect(medianOf([3, 1, 2])).toBe(2);
    expect(medianOf([4, 1, 2, 3])).toBe(2.5);
    expect(medianOf([])).toBeNull();
  });

  it("stays near the middle of far more values than it keeps", () => {
    const values = Array.from({ length: 10_007 }, (_, index) => (index * 7919) % 10_007); // each of 0 to 10,006, mixed
    expect(Math.abs((medianOf(values, 512) ?? 0) - 5003)).toBeLessThan(500);
  });
});
