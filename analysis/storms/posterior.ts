// The most probable figures under a standard normal prior and a sum of squared residuals, and how far the true ones may
// be from them: damped Gauss-Newton steps, derivatives by small differences, a normal curve at the top.

import { cholesky, invert, solve } from "./small-matrix.ts";

export interface Posterior {
  readonly at: readonly number[];
  /** Lower triangle L of the covariance L·Lᵀ about `at`. */
  readonly triangle: readonly (readonly number[])[];
  /** Factor on the residuals' variance that they themselves ask for. */
  readonly scale: number;
  /** Sum of squared residuals at `at`, before scaling. */
  readonly squares: number;
}

const small = 0.05;
/** Of a residual so many standard deviations off, the rest counts only as far as it goes (Huber 1964). */
const bends = 2.5;

/**
 * @param residuals  of figures in prior standard deviations; each should have variance 1
 * @param start      figures to start from
 * @param told       how many independent readings the residuals amount to
 */
export function findPosterior(
  residuals: (at: readonly number[]) => Float64Array,
  start: readonly number[],
  told: number,
  steps: number,
): Posterior {
  let at = [...start];
  let r = bent(residuals(at));
  let scale = 1;
  let damping = 0.01;
  let normal: Normal = normalOf(residuals, at, r);
  for (let step = 0; step < steps; step += 1) {
    scale = scaleOf(squaresOf(r), told, at.length);
    const cost = costOf(r, at, scale);
    const move = solve(
      normal.matrix.map((row, i) => row.map((v, j) => v / scale + (i === j ? 1 + damping * (1 + v / scale) : 0))),
      normal.gradient.map((g, i) => -(g / scale + (at[i] as number))),
    );
    const next = at.map((value, i) => clamp(value + clamp(move[i] as number, 1), 4));
    const nextR = bent(residuals(next));
    const gain = cost - costOf(nextR, next, scale);
    if (!(gain > 0)) {
      damping *= 8;
      if (damping > 1e4) break;
      continue;
    }
    damping = Math.max(1e-4, damping / 5);
    [at, r] = [next, nextR];
    normal = normalOf(residuals, at, r);
    if (gain < 1e-3) break;
  }
  const squares = squaresOf(r);
  scale = scaleOf(squares, told, at.length);
  const precision = normal.matrix.map((row, i) => row.map((v, j) => v / scale + (i === j ? 1 : 0)));
  return { at, triangle: cholesky(invert(precision)), scale, squares };
}

/** Standard uncertainties of the figures. */
export function uncertainties({ triangle }: Posterior): number[] {
  return triangle.map((row) => Math.sqrt(row.reduce((sum, v) => sum + v * v, 0)));
}

function scaleOf(squares: number, told: number, size: number): number {
  // A few figures are taken up by the readings; the rest by the prior. Four readings' worth of trust in 1.
  return Math.max(0.3, (squares + 4) / (Math.max(told / 3, told - size / 2) + 4));
}

/** Bends them in place. */
function bent(r: Float64Array): Float64Array {
  for (let i = 0; i < r.length; i += 1) {
    const size = Math.abs(r[i] as number);
    if (size > bends) r[i] = Math.sign(r[i] as number) * Math.sqrt(2 * bends * size - bends * bends);
  }
  return r;
}

function squaresOf(r: Float64Array): number {
  return product(r, r);
}

function costOf(r: Float64Array, at: readonly number[], scale: number): number {
  return squaresOf(r) / scale + at.reduce((sum, value) => sum + value * value, 0);
}

interface Normal {
  readonly matrix: number[][];
  readonly gradient: number[];
}

function normalOf(residuals: (at: readonly number[]) => Float64Array, at: readonly number[], r: Float64Array): Normal {
  const columns = at.map((value, k) => {
    const moved = [...at];
    moved[k] = value + small;
    const column = bent(residuals(moved));
    for (let i = 0; i < column.length; i += 1) column[i] = ((column[i] as number) - (r[i] as number)) / small;
    return column;
  });
  const matrix = columns.map((a, i) => columns.slice(0, i + 1).map((b) => product(a, b)));
  return {
    matrix: matrix.map((row, i) => columns.map((_, j) => (j <= i ? row[j] : matrix[j]?.[i]) as number)),
    gradient: columns.map((a) => product(a, r)),
  };
}

function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += (a[i] as number) * (b[i] as number);
  return sum;
}

function clamp(value: number, most: number): number {
  return Math.max(-most, Math.min(most, value));
}
