import { describe, expect, it } from "vitest";
import { newRestMemory, noteSampleSd } from "../../../../analysis/inflow/rest/rest-memory.ts";

describe("how far a sample lies from the curve through its rest", () => {
  it("is known from rests of many samples, and of few it is not learned", () => {
    const memory = newRestMemory();
    noteSampleSd(memory, 0.004, 6, 60);
    noteSampleSd(memory, 0.004, 10, 1);
    expect(memory).toEqual(newRestMemory());
    for (let rest = 0; rest < 20; rest += 1) noteSampleSd(memory, 0.0002, 100, 60);
    expect(memory.sampleSd_m3).toBeCloseTo(0.0002, 6);
  });

  it("is known by itself from rests of a few, where they are read seldom", () => {
    const memory = newRestMemory();
    noteSampleSd(memory, 0.0004, 8, 60);
    noteSampleSd(memory, 0.02, 8, 60);
    expect(memory.sampleSd_m3).toBe(0);
    expect(memory.fewSd_m3).toBeCloseTo(0.000425, 9);
  });

  it("hardly grows by one rest into which water pours", () => {
    const memory = newRestMemory();
    noteSampleSd(memory, 0.0002, 100, 1);
    noteSampleSd(memory, 0.02, 100, 1);
    expect(memory.sampleSd_m3).toBeLessThan(0.00022);
  });
});
