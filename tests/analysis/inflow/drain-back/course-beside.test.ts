import { describe, expect, it } from "vitest";
import { besideLine, courseExplains, curveBeside } from "../../../../analysis/inflow/drain-back/course-beside.ts";
import { type SlowCourse, slowlyOut } from "../../../../analysis/inflow/drain-back/slow-course.ts";
import { fitCurve } from "../../../../analysis/statistics/fit-curve.ts";
import { fitPolynomial } from "../../../../analysis/statistics/orthogonal-polynomial.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { curveSamples, everySecond } from "../../statistics/curve-samples.ts";

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

  it("says beside a parabola what it would beside a line", () => {
    const random = seededRandom(4);
    const samples = curveSamples(everySecond(400), (t) => t / 9 - 2 * Math.exp(-t / 60) + random.normal(0.1));
    const [line, parabola] = [fitPolynomial(samples, 1), fitPolynomial(samples, 2)];
    if (line === undefined || parabola === undefined) throw new Error("no curve");
    const bend = { coefficient: parabola.orthogonal[2] ?? Number.NaN, norm: parabola.norms[2] ?? Number.NaN };
    for (const [course, time_s] of courses.slice(0, 2)) {
      const known = courseExplains(curveBeside(parabola), { course, time_s });
      const found = known && besideLine(known, bend);
      const expected = courseExplains(curveBeside(line), { course, time_s });
      expect((found?.coefficient ?? Number.NaN) / (expected?.coefficient ?? Number.NaN)).toBeCloseTo(1, 6);
      expect((found?.norm ?? Number.NaN) / (expected?.norm ?? Number.NaN)).toBeCloseTo(1, 6);
    }
  });

  it("is null where the curve can stand in for all of it", () => {
    const line = fitPolynomial(
      curveSamples(everySecond(50), (t) => t),
      1,
    );
    expect(line && courseExplains(curveBeside(line), { course: "steady", time_s: 1000 })).toBeNull();
  });
});
