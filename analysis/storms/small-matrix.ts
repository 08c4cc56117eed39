// Symmetric, positive definite matrices of a dozen rows: as much of them as a fit needs.

/** Lower triangle L with L·Lᵀ = matrix. */
export function cholesky(matrix: readonly (readonly number[])[]): number[][] {
  const l: number[][] = [];
  matrix.forEach((row, i) => {
    const line = new Array<number>(matrix.length).fill(0);
    for (let j = 0; j <= i; j += 1) {
      const other = j === i ? line : (l[j] as number[]);
      let sum = row[j] as number;
      for (let k = 0; k < j; k += 1) sum -= (line[k] as number) * (other[k] as number);
      line[j] = j === i ? Math.sqrt(Math.max(1e-12, sum)) : sum / (other[j] as number);
    }
    l.push(line);
  });
  return l;
}

export function solve(matrix: readonly (readonly number[])[], right: readonly number[]): number[] {
  const l = cholesky(matrix);
  const n = right.length;
  const y: number[] = [];
  for (let i = 0; i < n; i += 1) {
    let sum = right[i] as number;
    for (let k = 0; k < i; k += 1) sum -= (l[i]?.[k] as number) * (y[k] as number);
    y.push(sum / (l[i]?.[i] as number));
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i -= 1) {
    let sum = y[i] as number;
    for (let k = i + 1; k < n; k += 1) sum -= (l[k]?.[i] as number) * (x[k] as number);
    x[i] = sum / (l[i]?.[i] as number);
  }
  return x;
}

export function invert(matrix: readonly (readonly number[])[]): number[][] {
  const columns = matrix.map((_, i) =>
    solve(
      matrix,
      matrix.map((__, j) => (i === j ? 1 : 0)),
    ),
  );
  return columns.map((column, i) => column.map((value, j) => (value + (columns[j]?.[i] as number)) / 2));
}
