import { describe, expect, it } from "vitest";
import { addToCourse, courseFrom } from "../../../analysis/pump-flow/rate-course.ts";

describe("addToCourse", () => {
  it("keeps single values as long as there are few", () => {
    expect(courseFrom([3, 1, 2])).toMatchObject({ values: [3, 1, 2], per: 1 });
  });

  it("joins pairs when there are forty, and blocks of two from then on", () => {
    const course = courseFrom(Array.from({ length: 40 }, (_, i) => i));
    expect(course).toMatchObject({ per: 2, count: 0 });
    expect(course.values).toEqual(Array.from({ length: 20 }, (_, i) => 2 * i + 0.5));
    addToCourse(course, 40);
    expect(course.values).toHaveLength(20);
    addToCourse(course, 41);
    expect(course.values.at(-1)).toBe(40.5);
  });

  it("holds a hundred thousand values in fewer than forty, with their course", () => {
    const course = courseFrom(Array.from({ length: 100_000 }, (_, i) => i));
    expect(course.values.length).toBeLessThan(40);
    for (const [i, value] of course.values.entries()) expect(value).toBeCloseTo((i + 0.5) * course.per - 0.5, 6);
  });
});
