// What is left of whole numbers once the next is foretold from those before it: by the line through them, fitted anew
// after each bend, or by the last step alone. Sums, products and quotients of doubles only, which every engine rounds
// alike: what is restored is what was there.

export type Foretold = "line" | "step";

/** A line is given up at an error of so many times the usual one, or when the recent ones add up to this. */
const bend = 6;
const drift = 14;
const remembered = 0.9;
const usualOver = 64;
const usualAtFirst = 30;
/** A sensor at rest: its first stir is no bend. */
const usualAtLeast = 0.25;
const largest = 2 ** 50;

/** So many numbers count for a line; of a longer one the older ones for less and less. */
const longestLine = 1000;
/**
 * By how much of its error the n-th number moves a line and its slope: least squares over all n, number by number. None
 * has to wait for a quotient, nor for the number before it to be whole again.
 */
const moves = Float64Array.from({ length: longestLine + 1 }, (_, n) => (n === 0 ? 0 : (4 * n - 2) / (n * (n + 1))));
const turns = Float64Array.from({ length: longestLine + 1 }, (_, n) => (n < 2 ? 0 : 6 / (n * (n + 1))));

/** In the place of each number, how much it is more than was foretold of it; up to 2^50 in, up to 2^51 out. */
export function foretellInPlace(numbers: Float64Array, by: Foretold): void {
  if (by === "line") lessLine(numbers);
  else alongSteps(numbers, false);
}

/** The numbers again, in the place of their residuals. */
export function restoreInPlace(residuals: Float64Array, by: Foretold): void {
  if (by === "line") restoreLine(residuals);
  else alongSteps(residuals, true);
}

/** The next is as far from the last as the last from the one before: right for times of a steady pace. */
function alongSteps(values: Float64Array, restoring: boolean): void {
  let last = 0;
  let step = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    const foretold = within(last + step);
    const number = restoring ? foretold + value : value;
    values[i] = restoring ? number : value - foretold;
    if (i > 0) step = number - last;
    last = number;
  }
}

/** Least squares over the numbers since the last bend. */
function lessLine(values: Float64Array): void {
  let next = 0; // what the line says of it
  let slope = 0;
  let count = 0;
  let last = 0;
  let usual = usualAtFirst;
  let adrift = 0;

  for (let i = 0; i < values.length; i++) {
    const number = values[i] as number;
    const residual = number - within(Math.floor(next + 0.5));
    values[i] = residual;

    if (count < longestLine) count++;
    adrift = adrift * remembered + residual;
    if (count > 3) {
      const error = Math.abs(residual);
      if (error > bend * usual || Math.abs(adrift) > drift * usual) {
        count = 2;
        slope = number - last;
        next = number + slope;
        adrift = 0;
        last = number;
        continue;
      }
      // By branches: what is foretold then waits for no more than the one that is taken.
      const most = 3 * usual;
      if (error < most) usual += (error - usual) / usualOver;
      else usual += (most - usual) / usualOver;
      if (usual < usualAtLeast) usual = usualAtLeast;
    }
    slope += (turns[count] as number) * residual;
    next = next + (moves[count] as number) * residual + slope;
    last = number;
  }
}

/**
 * The way back, which goes step by step through the very same sums. A loop of its own: this is most of the time that a
 * chart of a day takes, and a quarter of it longer where each step asks which way it goes.
 */
function restoreLine(values: Float64Array): void {
  let next = 0; // what the line says of it
  let slope = 0;
  let count = 0;
  let last = 0;
  let usual = usualAtFirst;
  let adrift = 0;

  for (let i = 0; i < values.length; i++) {
    const residual = values[i] as number;
    const number = within(Math.floor(next + 0.5)) + residual;
    values[i] = number;

    if (count < longestLine) count++;
    adrift = adrift * remembered + residual;
    if (count > 3) {
      const error = Math.abs(residual);
      if (error > bend * usual || Math.abs(adrift) > drift * usual) {
        count = 2;
        slope = number - last;
        next = number + slope;
        adrift = 0;
        last = number;
        continue;
      }
      // By branches: what is foretold then waits for no more than the one that is taken.
      const most = 3 * usual;
      if (error < most) usual += (error - usual) / usualOver;
      else usual += (most - usual) / usualOver;
      if (usual < usualAtLeast) usual = usualAtLeast;
    }
    slope += (turns[count] as number) * residual;
    next = next + (moves[count] as number) * residual + slope;
    last = number;
  }
}

/** What is foretold of a number, as far as there may be such a number. */
export function within(foretold: number): number {
  if (foretold > largest) return largest;
  return Math.max(foretold, -largest);
}
