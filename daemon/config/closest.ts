// "Did you mean": the known word that a misspelt one is closest to, if it is close at all.

/** The nearest of `known` within a third of its letters (dashes, underscores and case left aside), or undefined. */
export function closest(word: string, known: readonly string[]): string | undefined {
  const wanted = plain(word);
  const ranked = known
    .map((candidate) => ({ candidate, edits: editDistance(wanted, plain(candidate)) }))
    .filter(({ candidate, edits }) => edits <= Math.max(1, Math.floor(candidate.length / 3)))
    .sort((a, b) => a.edits - b.edits);
  return ranked[0]?.candidate;
}

function plain(word: string): string {
  return word.toLowerCase().replaceAll(/[-_\s]/g, "");
}

/** Letters to add, take away, exchange or swap with their neighbour; words longer than any key are as far as can be. */
function editDistance(a: string, b: string): number {
  if (a.length > 60 || b.length > 60) return Number.POSITIVE_INFINITY;
  let [before, row]: number[][] = [[], Array.from({ length: b.length + 1 }, (_, j) => j)];
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const exchanged = valueAt(row, j - 1) + (a[i - 1] === b[j - 1] ? 0 : 1);
      const swapped = a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1] ? valueAt(before, j - 2) + 1 : exchanged;
      next.push(Math.min(exchanged, swapped, valueAt(row, j) + 1, valueAt(next, j - 1) + 1));
    }
    [before, row] = [row, next];
  }
  return valueAt(row, b.length);
}

function valueAt(row: readonly number[] | undefined, index: number): number {
  return row?.[index] ?? Number.POSITIVE_INFINITY;
}
