import { describe, expect, it } from "vitest";
import { stretched } from "../../../dashboard/charts/stretched.ts";

const span = { from_s: 1000, to_s: 2000 };

describe("fingers on a chart", () => {
  it("moves with one finger", () => {
    // A finger that goes a tenth of the width to the right brings earlier time.
    expect(stretched(span, [0.5], [0.6])).toEqual({ from_s: 900, to_s: 1900 });
  });

  it("zooms with two, each staying on its moment", () => {
    // 1250 s and 1750 s are spread from the quarters to the ends.
    expect(stretched(span, [0.25, 0.75], [0, 1])).toEqual({ from_s: 1250, to_s: 1750 });
  });

  it("takes no notice of a trembling finger", () => {
    expect(stretched(span, [0.5], [0.502])).toBeNull();
    expect(stretched(span, [], [])).toBeNull();
  });
});
