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

/** Number less what was foretold of it, for each; whole numbers up to 2^50 in, up to 2^51 out. */
export function residualsOf(numbers: Float64Array, by: Foretold): Float64Array {
  const residuals = numbers.slice();
  if (by === "line") alongLine(residuals, false);
  else alongSteps(residuals, false);
  return residuals;
}

/** The numbers again, in the place of their residuals. */
export function restoreInPlace(residuals: Float64Array, by: Foretold): void {
  if (by === "line") alongLine(residuals, true);
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

/** Least squares over all numbers since the last bend, from their running sums. */
function alongLine(values: Float64Array, restoring: boolean): void {
  let count = 0;
  let first = 0;
  let sum = 0; // of number − first
  let moment = 0; // of (number − first) · place
  let last = 0;
  let usual = usualAtFirst;
  let adrift = 0;

  for (let i = 0; i < values.length; i++) {
    let foretold = first + sum;
    if (count > 1) {
      // The line's value at the next place: mean + slope · (count + 1) / 2, over one denominator.
      foretold = first + Math.floor((6 * moment - 2 * (count - 1) * sum) / (count * (count - 1)) + 0.5);
    }
    foretold = within(foretold);
    const value = values[i] as number;
    const number = restoring ? foretold + value : value;
    const residual = restoring ? value : value - foretold;
    values[i] = restoring ? number : residual;

    if (count === 0) first = number;
    sum += number - first;
    moment += count * (number - first);
    count++;
    adrift = adrift * remembered + residual;
    if (count > 3) {
      const error = Math.abs(residual);
      if (error > bend * usual || Math.abs(adrift) > drift * usual) {
        count = 2;
        first = last;
        sum = number - last;
        moment = sum;
        adrift = 0;
      } else {
        usual += (Math.min(error, 3 * usual) - usual) / usualOver;
        if (usual < usualAtLeast) usual = usualAtLeast;
      }
    }
    last = number;
  }
}

function within(foretold: number): number {
  if (foretold > largest) return largest;
  return Math.max(foretold, -largest);
}
