import { describe, expect, it } from "vitest";
import { noiseReadSeldom } from "../../../../analysis/inflow/seldom-readings/cycle-grid.ts";

const active_m3 = 0.02;

describe("the noise of a reading where they are far apart", () => {
  it("is what rests of many show, however fine", () => {
    expect(noiseReadSeldom({ sampleSd_m3: 1e-5, fewSd_m3: 1e-3 }, active_m3)).toBe(1e-5);
  });

  it("is what rests of a few show where that is rougher than is taken for granted, and else not known", () => {
    expect(noiseReadSeldom({ sampleSd_m3: 0, fewSd_m3: 4e-4 }, active_m3)).toBe(4e-4);
    expect(noiseReadSeldom({ sampleSd_m3: 0, fewSd_m3: 1e-5 }, active_m3)).toBe(0);
    expect(noiseReadSeldom({ sampleSd_m3: 0 }, active_m3)).toBe(0);
  });

  it("is not known by a few while what lies between the floats is not", () => {
    expect(noiseReadSeldom({ sampleSd_m3: 0, fewSd_m3: 4e-4 }, null)).toBe(0);
  });
});
