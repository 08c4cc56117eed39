import { describe, expect, it } from "vitest";
import { trendPaths } from "../../../dashboard/parts/trend-paths.ts";

describe("the small trend", () => {
  const input = {
    span: { from_s: 0, to_s: 100 },
    level: {
      bucket_s: 10,
      time_s: [0, 10, 80],
      minimum_m: [0, 0, 0.5],
      maximum_m: [0.5, 0.5, 1],
      mean_m: [0.25, 0.5, 1],
    },
    runs: [{ startedAt_s: 20, stoppedAt_s: 30 }],
    top_m: 1,
    width: 200,
    height: 100,
  };

  it("draws level upwards and time to the right, and breaks at a hole", () => {
    expect(trendPaths(input).line).toBe("M10.0 75.0L30.0 50.0M170.0 0.0");
  });

  it("closes the band from the highest back along the lowest", () => {
    expect(trendPaths(input).band).toBe("M10.0 50.0L30.0 50.0L30.0 100.0L10.0 100.0ZM170.0 0.0L170.0 50.0Z");
  });

  it("shades a run over the full height", () => {
    expect(trendPaths(input).runs).toBe("M40.0 0H60.0V100H40.0Z");
  });
});
