import { describe, expect, it } from "vitest";
import { worstHours } from "../../../analysis/sizing/worst-hours.ts";

const hour = 3600;
const stretch = (from_h: number, to_h: number, inflow_m3s: number) => ({
  from_s: from_h * hour,
  to_s: to_h * hour,
  inflow_m3s,
  uInflow_m3s: 0.5 * inflow_m3s,
});

describe("the worst hours of a record", () => {
  it("are those with the highest mean, a stretch that reaches out of them counting by its share", () => {
    const found = worstHours([stretch(0, 4, 1), stretch(4, 5, 5), stretch(5, 9, 2)], 2 * hour);
    expect(found).toEqual({ from_s: 4 * hour, inflow_m3s: 3.5, uInflow_m3s: 1.75 });
  });

  it("are found at the beginning and at the end of the record too", () => {
    expect(worstHours([stretch(0, 1, 5), stretch(1, 5, 2)], 2 * hour)?.inflow_m3s).toBeCloseTo(3.5, 12);
    expect(worstHours([stretch(0, 4, 2), stretch(4, 5, 5)], 2 * hour)).toMatchObject({ from_s: 3 * hour });
    expect(worstHours([stretch(0, 9, 2)], 2 * hour)?.inflow_m3s).toBeCloseTo(2, 12);
  });

  it("count what was not seen at the mean of what was", () => {
    expect(worstHours([stretch(0, 1, 1), stretch(2, 3, 3)], 3 * hour)?.inflow_m3s).toBeCloseTo(2, 12);
  });

  it("are unknown where less than half of them was ever seen", () => {
    expect(worstHours([stretch(0, 1, 1)], 3 * hour)).toBeNull();
    expect(worstHours([], 3 * hour)).toBeNull();
  });
});
