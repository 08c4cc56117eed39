// The hypotenuse of ordinary numbers. Math.hypot guards against the largest and the smallest there are, and takes many
// times as long: too long where it is asked for every quarter of a minute of a recording.

/** √(a² + b²) */
export function rootOfSquares(a: number, b: number): number {
  return Math.sqrt(a * a + b * b);
}
