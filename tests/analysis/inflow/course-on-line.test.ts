import { describe, expect, it } from "vitest";
import { courseExplains, lineThrough } from "../../../analysis/inflow/course-on-line.ts";
import { type SlowCourse, slowlyOut } from "../../../analysis/inflow/slow-return.ts";
import { fitPolynomial, tryFunction } from "../../../analysis/statistics/fit-curve.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { curveSamples, everySecond } from "../statistics/curve-samples.ts";

const courses: readonly [SlowCourse, number][] = [
  ["fading", 8],
  ["fading", 90],
  ["fading", 10_000],
  ["steady", 40],
  ["draining", 250],
];

describe("courseExplains", () => {
  it.each(courses)("says of a course (%s, %d s) what a fit of it beside the line says", (course, time_s) => {
    const random = seededRandom(3);
    for (const jitter of [0, 0.3]) {
      const times = everySecond(400).map((t) => 10 + t + jitter * random.uniform());
      const samples = curveSamples(times, (t) => t / 9 - 2 * Math.exp(-t / 60) + random.normal(0.1));
      samples.weight.fill(8, 60);
      samples.weight.fill(0, 90, 95);
      const line = lineThrough(samples);
      const polynomial = fitPolynomial(samples, 1);
      const found = line && courseExplains(line, { course, time_s });
      const fitted = polynomial && tryFunction(polynomial, slowlyOut({ course, time_s }));
      const coefficient = fitted?.coefficient ?? Number.NaN;
      const falls = (polynomial?.residualSquares ?? Number.NaN) - (fitted?.residualSquares ?? Number.NaN);
      expect((found?.coefficient ?? Number.NaN) / coefficient).toBeCloseTo(1, 7);
      expect(((found?.coefficient ?? Number.NaN) ** 2 * (found?.norm ?? Number.NaN)) / falls).toBeCloseTo(1, 6);
    }
  });

  it("is null where the line can stand in for all of it", () => {
    const line = lineThrough(curveSamples(everySecond(50), (t) => t));
    expect(line && courseExplains(line, { course: "steady", time_s: 1000 })).toBeNull();
    expect(lineThrough(curveSamples([1], (t) => t))).toBeNull();
  });
});
