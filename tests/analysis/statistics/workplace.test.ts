import { describe, expect, it } from "vitest";
import { workplace } from "../../../analysis/statistics/workplace.ts";

describe("workplace", () => {
  it("has room for as many numbers as are asked for, in the same memory while that is large enough", () => {
    const memoryFor = workplace();
    const first = memoryFor(10);
    expect(memoryFor(first.length)).toBe(first);
    expect(memoryFor(first.length + 1).length).toBeGreaterThan(first.length);
  });

  it("is nobody else's", () => {
    expect(workplace()(5)).not.toBe(workplace()(5));
  });
});
