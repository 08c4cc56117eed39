// Sums of the sizing answer as lines that can be done again by hand.

import type { HandStep } from "../../analysis/sizing/answer/figures.ts";

/** `what: sum = result (source)`. */
export function stepLines(steps: readonly HandStep[]): string[] {
  return steps.map(({ what, sum, result, source }) => {
    const from = source === null ? "" : ` (${source})`;
    return `  ${what}: ${sum} = ${result}${from}`;
  });
}
