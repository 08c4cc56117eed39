import { describe, expect, it } from "vitest";
import { addCourse, fade, noSums, restsThatTell } from "../../../../analysis/inflow/drain-back/slow-sums.ts";

describe("restsThatTell", () => {
  const rest = { duration_s: 600, apart_s: 1, bend: 0, third: 0 };

  it("is one of a single rest, however clear and however many others came after it that were over before", () => {
    const sums = noSums();
    addCourse(sums.line, 3, 1e9, 0.008);
    for (let i = 0; i < 20; i += 1) fade(sums, 0.98, rest);
    expect(restsThatTell(sums.line, 3)).toBeCloseTo(1, 9);
  });

  it("is as many as there were of rests alike, the older counting less", () => {
    const sums = noSums();
    for (let i = 0; i < 5; i += 1) {
      fade(sums, 0.98, rest);
      addCourse(sums.line, 3, 1e9, 0.004);
    }
    expect(restsThatTell(sums.line, 3)).toBeCloseTo(5, 1);
  });
});
