// A pump's published curve, read between its points: head by flow. Beyond its points nothing is known.

import type { CurvePoint } from "../site.ts";

export interface PumpCurve {
  /** Head at a flow; null outside the points. */
  head_m(flow_m3s: number): number | null;
  /** Head at no flow; null when the curve begins at a larger one. */
  readonly shutOffHead_m: number | null;
  readonly minimumFlow_m3s: number;
  readonly maximumFlow_m3s: number;
}

/**
 * Curve through the points of a data sheet by piecewise cubics that keep their shape: it never rises, never leaves the
 * heads of the two points it lies between, and has no kinks. Two points give a straight line. Three that begin at shut-off
 * and fall ever faster give H = A − B·Q^C, as network solvers read them (EPANET 2.2 User Manual, three-point curve).
 *
 * @param points two or more, flow rising from 0 or above, head nowhere rising
 * @throws {RangeError} naming the point that breaks this
 * @see Fritsch & Carlson (1980), Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17, 238–246
 */
export function pumpCurve(points: readonly CurvePoint[]): PumpCurve {
  checkPoints(points);
  const law = powerLaw(points);
  const pieces = law === null ? cubicPieces(points) : [];
  const minimumFlow_m3s = points[0]?.flow_m3s ?? Number.NaN;
  const maximumFlow_m3s = points.at(-1)?.flow_m3s ?? Number.NaN;
  const head_m = (flow_m3s: number): number | null => {
    if (!(flow_m3s >= minimumFlow_m3s && flow_m3s <= maximumFlow_m3s)) return null;
    if (law !== null) return law(flow_m3s);
    const piece = pieces.find(({ to }) => flow_m3s <= to.flow_m3s);
    return piece === undefined ? null : headWithin(piece, flow_m3s);
  };
  return { head_m, shutOffHead_m: head_m(0), minimumFlow_m3s, maximumFlow_m3s };
}

function checkPoints(points: readonly CurvePoint[]): void {
  if (points.length < 2) throw new RangeError(`pumpCurve: need 2 points or more, got ${points.length}`);
  let before: CurvePoint | undefined;
  for (const [i, point] of points.entries()) {
    const { flow_m3s, head_m } = point;
    if (!(flow_m3s >= 0 && flow_m3s < Number.POSITIVE_INFINITY && Number.isFinite(head_m))) {
      throw new RangeError(
        `pumpCurve: point ${i} is ${flow_m3s} m³/s, ${head_m} m; both must be numbers, flow 0 or above`,
      );
    }
    if (before !== undefined && !(flow_m3s > before.flow_m3s)) {
      throw new RangeError(`pumpCurve: flow does not rise at point ${i}, from ${before.flow_m3s} to ${flow_m3s} m³/s`);
    }
    if (before !== undefined && head_m > before.head_m) {
      throw new RangeError(`pumpCurve: head rises at point ${i}, from ${before.head_m} to ${head_m} m`);
    }
    before = point;
  }
}

/** @returns null unless there are three points, the first at no flow, and the second is on or above the straight line */
function powerLaw([first, second, third, ...more]: readonly CurvePoint[]): ((flow_m3s: number) => number) | null {
  if (first === undefined || second === undefined || third === undefined || more.length > 0) return null;
  const fall_m = first.head_m - second.head_m;
  const wholeFall_m = first.head_m - third.head_m;
  if (first.flow_m3s !== 0 || !(fall_m > 0 && wholeFall_m > fall_m)) return null;
  const exponent = Math.log(wholeFall_m / fall_m) / Math.log(third.flow_m3s / second.flow_m3s);
  if (!(exponent >= 1)) return null;
  return (flow_m3s) =>
    flow_m3s === third.flow_m3s ? third.head_m : first.head_m - fall_m * (flow_m3s / second.flow_m3s) ** exponent;
}

/** From one point to the next, with the curve's slope at both. */
interface Piece {
  readonly from: CurvePoint;
  readonly to: CurvePoint;
  readonly fromSlope: number;
  readonly toSlope: number;
}

interface Chord {
  readonly from: CurvePoint;
  readonly to: CurvePoint;
  readonly width: number;
  readonly slope: number;
}

function cubicPieces(points: readonly CurvePoint[]): Piece[] {
  const chords = points.slice(1).map((to, i): Chord => {
    const from = points[i] ?? to;
    const width = to.flow_m3s - from.flow_m3s;
    return { from, to, width, slope: (to.head_m - from.head_m) / width };
  });
  return chords.map((chord, i) => {
    const before = chords[i - 1];
    const after = chords[i + 1];
    return {
      from: chord.from,
      to: chord.to,
      fromSlope: before === undefined ? endSlope(chord, after) : innerSlope(before, chord),
      toSlope: after === undefined ? endSlope(chord, before) : innerSlope(chord, after),
    };
  });
}

/** Slope at a point of the parabola through it and its neighbours; flat where a chord is. */
function innerSlope(left: Chord, right: Chord): number {
  const parabola = (right.width * left.slope + left.width * right.slope) / (left.width + right.width);
  return falling(parabola, Math.max(left.slope, right.slope));
}

/** Slope at the first or last point of the parabola through the three points there. */
function endSlope(chord: Chord, next: Chord | undefined): number {
  if (next === undefined) return chord.slope;
  const { width, slope } = chord;
  const parabola = ((2 * width + next.width) * slope - width * next.slope) / (width + next.width);
  return falling(parabola, slope);
}

/** Held between level and three times the flatter chord: within that, a cubic piece stays monotone. */
function falling(slope: number, flatterChord: number): number {
  return Math.min(0, Math.max(slope, 3 * flatterChord));
}

function headWithin({ from, to, fromSlope, toSlope }: Piece, flow_m3s: number): number {
  const width = to.flow_m3s - from.flow_m3s;
  const t = (flow_m3s - from.flow_m3s) / width;
  const s = 1 - t;
  const head_m =
    s * s * ((1 + 2 * t) * from.head_m + t * width * fromSlope) +
    t * t * ((1 + 2 * s) * to.head_m - s * width * toSlope);
  return Math.min(from.head_m, Math.max(to.head_m, head_m)); // rounding alone could leave the interval
}
