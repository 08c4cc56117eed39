// What inflow that slows as the basin fills makes of a leak that is fitted beside a parabola. Such inflow fades towards the
// ground's own level, which a parabola follows nearly; and what leaks back holds the ground's water off a little.

import type { TimeFunction } from "../../statistics/fit-curve.ts";
import type { VolumeCurve } from "../rest/volume-curve.ts";
import { type CourseInTime, outFrom_s, slowlyOut } from "./slow-course.ts";

/** Of the rests, as parabolas beside no leak: mean length, where their samples begin, slope and bend at the middle. */
export interface AsParabolas {
  readonly from_s: number;
  readonly length_s: number;
  readonly slope_m3s: number;
  /** The coefficient of the time's square. */
  readonly bend_m3s2: number;
}

/** A leak where the inflow goes with what is missing to the ground's level: by this share of it less each second. */
export type LeakBesideSlowing = CourseInTime & { readonly volume_m3: number; readonly slowing_1s: number };

const points = 96;
/** Of what was found: more of a correction tells that slope and bend are not those of the inflow. Judgement, no source. */
const mostPutRight = 0.5;

/**
 * Inflow that goes with what is missing to the ground's level, dV/dt = k·(V_ground − V), has k from slope and bend, and
 * with it the third power of its time, by which the leak was found too small or too large; and what leaks back, standing in
 * the basin, lowers the inflow by k times itself, which looks like more that leaked back.
 *
 * @returns the leak's volume and the bend of the inflow without either, and the standard uncertainty of the volume: inflow
 *          may slow in another course, or for another reason, so that either may be nothing or twice as much (uniform: GUM
 *          4.3.7), and so may the leak itself where that would be more than half of it
 */
export function besideSlowing(
  leak: CourseInTime & { readonly volume_m3: number },
  { from_s, length_s, slope_m3s, bend_m3s2 }: AsParabolas,
): {
  readonly volume_m3: number;
  readonly uVolume_m3: number;
  readonly slowing_1s: number;
  readonly bend_m3s2: number;
} {
  const { volume_m3 } = leak;
  const { shares, thirdIn, half_s } = projected(leak, from_s, length_s);
  const slope = slope_m3s + (volume_m3 * shares[1]) / half_s;
  const bend = bend_m3s2 + (volume_m3 * shares[2]) / half_s ** 2;
  const asFound = { volume_m3, uVolume_m3: 0, slowing_1s: 0, bend_m3s2: bend };
  if (!(slope > 0) || !Number.isFinite(bend)) return asFound;
  const slowing = (-2 * bend) / slope;
  const third_m3 = thirdIn * ((slope * slowing ** 2) / 6) * half_s ** 3;
  const held = slowing * outFrom_s(leak)(0);
  if (!(Math.abs(third_m3) < mostPutRight * volume_m3) || !(Math.abs(held) < 1))
    return { ...asFound, uVolume_m3: volume_m3 / Math.sqrt(3) };
  const uVolume_m3 = Math.hypot(third_m3, held * volume_m3) / Math.sqrt(3);
  return slowing > 0
    ? { ...asFound, volume_m3: (volume_m3 + third_m3) / (1 + held), uVolume_m3, slowing_1s: slowing }
    : { ...asFound, uVolume_m3 };
}

/**
 * The course's share of each power's function, orthogonal over the rest, and by how much of it one of the third power is
 * met, where a parabola stands beside.
 */
function projected(leak: CourseInTime, from_s: number, length_s: number) {
  const out = slowlyOut(leak);
  const half_s = (length_s - from_s) / 2;
  const norms = [0, 0, 0];
  const sums = [0, 0, 0];
  let third = 0;
  let square = 0;
  for (let i = 0; i < points; i += 1) {
    const x = (2 * i + 1) / points - 1;
    const f = out(from_s + half_s * (x + 1));
    // Legendre's polynomials with a leading coefficient of 1: orthogonal over readings as far apart all along.
    const functions = [1, x, x * x - 1 / 3];
    functions.forEach((p, k) => {
      norms[k] = (norms[k] as number) + p * p;
      sums[k] = (sums[k] as number) + p * f;
    });
    third += (x ** 3 - 0.6 * x) * f;
    square += f * f;
  }
  const shares = sums.map((sum, k) => sum / (norms[k] as number)) as [number, number, number];
  const own = square - shares.reduce((all, share, k) => all + share ** 2 * (norms[k] as number), 0);
  return { shares, thirdIn: third / own, half_s };
}

/**
 * What the water that came back by `t` has held off of the ground's, m³, less what it will have in all in so long: nothing
 * at the end. Beside it the inflow goes on as if all had been back at once.
 */
export function heldOff_m3(leak: LeakBesideSlowing): TimeFunction {
  const outFrom = outFrom_s(leak);
  const perLitre = leak.volume_m3 * leak.slowing_1s;
  return (t) => perLitre * outFrom(t);
}

/** The inflow's own course, of one that was fitted with what is held off put back. Its uncertainty: nothing or twice as much. */
export function withHeldOff(curve: VolumeCurve, held_m3: TimeFunction): VolumeCurve {
  return {
    ...curve,
    valueAt: (t) => curve.valueAt(t) - held_m3(t),
    meanSlope: (from, to) => {
      const { slope, variance } = curve.meanSlope(from, to);
      const held = (held_m3(from) - held_m3(to)) / (to - from);
      return { slope: slope + held, variance: variance + held ** 2 / 3 };
    },
  };
}
