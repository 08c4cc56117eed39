import { describe, expect, it } from "vitest";
import { joinParts } from "../../../analysis/uncertainty/parts.ts";

describe("joinParts", () => {
  it("joins source by source as independent errors, each times its weight", () => {
    const joined = joinParts([{ timing: 3, geometry: 1 }, { timing: 4 }]);
    expect(joined).toEqual({ timing: 5, geometry: 1 });
    expect(joinParts([{ timing: 6 }, { timing: 8 }], [0.5, -0.5])).toEqual({ timing: 5 });
  });

  it("is nothing where there is nothing", () => {
    expect(joinParts([])).toBeUndefined();
    expect(joinParts([undefined, { timing: 0 }])).toBeUndefined();
    expect(joinParts([{ timing: 1 }], [0])).toBeUndefined();
  });
});
