// The line by which records foretold that were written before `predict.ts` went number by number: only to read them.

import { within } from "./predict.ts";

const bend = 6;
const drift = 14;
const remembered = 0.9;
const usualOver = 64;
const usualAtFirst = 30;
const usualAtLeast = 0.25;

/** The numbers again, in the place of their residuals: least squares since the last bend, from running sums. */
export function restoreFormerLine(values: Float64Array): void {
  let count = 0;
  let first = 0;
  let sum = 0; // of number − first
  let moment = 0; // of (number − first) · place
  let last = 0;
  let usual = usualAtFirst;
  let adrift = 0;

  for (let i = 0; i < values.length; i++) {
    const beyond = count > 1 ? Math.floor((6 * moment - 2 * (count - 1) * sum) / (count * (count - 1)) + 0.5) : sum;
    const residual = values[i] as number;
    const number = within(first + beyond) + residual;
    values[i] = number;

    if (count === 0) first = number;
    sum += number - first;
    moment += count * (number - first);
    count++;
    adrift = adrift * remembered + residual;
    const error = Math.abs(residual);
    if (count > 3 && (error > bend * usual || Math.abs(adrift) > drift * usual)) {
      count = 2;
      first = last;
      sum = number - last;
      moment = sum;
      adrift = 0;
    } else if (count > 3) {
      usual = Math.max(usualAtLeast, usual + (Math.min(error, 3 * usual) - usual) / usualOver);
    }
    last = number;
  }
}
