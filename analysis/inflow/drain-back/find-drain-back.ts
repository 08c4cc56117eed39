// Water that runs back within seconds of a stop, as one rest alone shows it: how much, and in which course.

import { varianceInflation } from "../../statistics/autocorrelation.ts";
import { type CurveFit, type CurveSamples, fitCurve } from "../../statistics/fit-curve.ts";
import { fitPolynomial } from "../../statistics/orthogonal-polynomial.ts";
import { courseExplains, curveBeside } from "./course-beside.ts";
import type { DrainBack } from "./drain-back.ts";
import { slowlyOut } from "./slow-course.ts";

/** Without noise the digits' own rounding may look like a course: no volume is known better than to a millilitre. */
const least_m3 = 1e-6;
/** What takes longer one rest alone cannot tell from inflow that changes: see slow-return.ts. */
const longestFading_s = 20;
export const longestSteady_s = 15;
/** No sensor of level reads closer together than this to any use. */
const finest_s = 0.1;

/** The best τ on a geometric grid, if the returned water explains far more than the noise and more than a bend does. */
export function findDrainBack(short: CurveSamples, duration_s: number, most_m3: number): DrainBack | undefined {
  const plain = fitPolynomial(short, 2);
  const bent = fitPolynomial(short, 3);
  if (plain === undefined || bent === undefined) return undefined;
  // The third sample must still see it come: two could be off by chance. Readings of one time stand no time apart.
  const interval_s = Math.max(finest_s, (short.t[2] ?? 2) / 2, (short.t[1] ?? 1) - (short.t[0] ?? 0));
  const beside = curveBeside(plain);
  let best: (DrainBack & { readonly residualSquares: number }) | undefined;
  const tryCourse = (course: DrainBack["course"], time_s: number) => {
    const tried = courseExplains(beside, { time_s, course });
    if (tried === null) return;
    const residualSquares = plain.residualSquares - tried.coefficient ** 2 * tried.norm;
    if (best && residualSquares >= best.residualSquares) return;
    best = { volume_m3: -tried.coefficient, time_s, course, residualSquares };
  };
  const shortest_s = Math.max(0.7 * interval_s, 0.3);
  for (let time_s = shortest_s; time_s <= Math.min(longestFading_s, duration_s / 8); time_s *= 1.5)
    tryCourse("fading", time_s);
  for (let time_s = 4 * interval_s; time_s <= Math.min(longestSteady_s, duration_s / 3); time_s *= 1.35)
    tryCourse("steady", time_s);
  for (const factor of [0.8, 0.89, 0.95, 1.05, 1.11, 1.2]) {
    if (best) tryCourse(best.course, Math.max(shortest_s, best.time_s * factor));
  }
  if (best === undefined || !(best.volume_m3 > least_m3) || best.volume_m3 > most_m3) return undefined;
  const course = slowlyOut(best);
  const fit = fitCurve(short, 2, course);
  if (fit === undefined) return undefined;
  const variance = best.residualSquares / Math.max(1, plain.used - 4);
  // A sensor that wanders bends a curve too: what stands out must stand out of that.
  const noise = variance * varianceInflation(scaledResiduals(short, fit.valueAt));
  const clear = plain.residualSquares - best.residualSquares > 25 * noise;
  const moreThanABend = bent.residualSquares - best.residualSquares > 9 * noise;
  return clear && moreThanABend && !rocks(short, fit, course, variance) ? best : undefined;
}

/** The surface rocks for so long after a stop, and readings once a second may make a slow wave of it. */
const rocks_s = 25;
/** What is left over while the water comes back, against what it is: of a return little, of a wave about as much. */
const mostLeft = 0.35;

function rocks(short: CurveSamples, fit: CurveFit, course: (t: number) => number, variance: number): boolean {
  return leftOver(short, fit, course, variance) > mostLeft;
}

/** Squares of what the fit leaves over while the surface may rock, but for noise, over those of the water that is still out. */
function leftOver(
  { t, y, weight, count }: CurveSamples,
  fit: CurveFit,
  course: (t: number) => number,
  variance: number,
): number {
  let left = 0;
  let returning = 0;
  for (let i = 0; i < count && (t[i] ?? 0) < rocks_s; i += 1) {
    const w = weight[i] ?? 0;
    const at_s = t[i] ?? 0;
    left += w * ((y[i] ?? 0) - fit.valueAt(at_s)) ** 2 - (w > 0 ? variance : 0);
    returning += w * (fit.extraCoefficient * course(at_s)) ** 2;
  }
  return left / returning;
}

function scaledResiduals({ t, y, weight, count }: CurveSamples, curve: (t: number) => number): Float64Array {
  const residuals = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    residuals[i] = ((y[i] ?? 0) - curve(t[i] ?? 0)) * Math.sqrt(weight[i] ?? 0);
  }
  return residuals;
}
