import { describe, expect, it } from "vitest";
import { courseExplains, curveBeside } from "../../../analysis/inflow/course-beside.ts";
import { type SlowCourse, slowlyOut } from "../../../analysis/inflow/slow-return.ts";
import { fitCurve } from "../../../analysis/statistics/fit-curve.ts";
import { fitPolynomial } from "../../../analysis/statistics/orthogonal-polynomial.ts";
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
  it.each(courses)(
    "says of a course (%s, %d s) what a fit of it beside a line or a parabola says",
    (course, time_s) => {
      const random = seededRandom(3);
      for (const [jitter, degree] of [
        [0, 1],
        [0.3, 1],
        [0, 2],
      ] as const) {
        // A parabola can stand in for the slow ones.
        if (degree === 2 && time_s > 300) continue;
        const times = everySecond(400).map((t) => 10 + t + jitter * random.uniform());
        const samples = curveSamples(times, (t) => t / 9 - 2 * Math.exp(-t / 60) + random.normal(0.1));
        samples.weight.fill(8, 60);
        samples.weight.fill(0, 90, 95);
        const curve = fitPolynomial(samples, degree);
        if (curve === undefined) throw new Error("no curve");
        const found = courseExplains(curveBeside(curve), { course, time_s });
        const fitted = fitCurve(samples, degree, slowlyOut({ course, time_s }));
        const falls = curve.residualSquares - (fitted?.residualSquares ?? Number.NaN);
        expect((found?.coefficient ?? Number.NaN) / (fitted?.extraCoefficient ?? Number.NaN)).toBeCloseTo(1, 5);
        expect(((found?.coefficient ?? Number.NaN) ** 2 * (found?.norm ?? Number.NaN)) / falls).toBeCloseTo(1, 4);
      }
    },
  );

  it("is null where the curve can stand in for all of it", () => {
    const line = fitPolynomial(
      curveSamples(everySecond(50), (t) => t),
      1,
    );
    expect(line && courseExplains(curveBeside(line), { course: "steady", time_s: 1000 })).toBeNull();
  });
});
