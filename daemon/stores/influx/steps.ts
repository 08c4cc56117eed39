// Numbers of a sensor as whole numbers of its own step, which the database packs in a sixth of the room of a float. The
// step is learned from the values; each point names its own, so that none depends on what was learned when.

import { unitsOfDevices } from "../chunk/grid.ts";

/** Which whole numbers stand for a channel's values; all 0 at first. */
export interface Grid {
  unit: number;
  decimals: number;
  /** In units of the last decimal. */
  step: number;
}

const mostDecimals = 9;
const largest = 2 ** 50;
const largestStep = 2 ** 40; // so that a grid fits into one whole number

export const noGrid: Readonly<Grid> = { unit: 0, decimals: 0, step: 0 };

/**
 * How many steps the value is. Makes the grid finer where the value does not stand on it.
 * @returns null for a value that stands on no grid, and is no decimal of any such device
 */
export function stepsOf(grid: Grid, value: number): number | null {
  if (Object.is(value, -0)) return null;
  const steps = onGrid(grid, value);
  if (steps !== null) return steps;
  for (let i = 0; i < unitsOfDevices.length; i++) {
    const unit = (grid.unit + i) % unitsOfDevices.length;
    for (let decimals = i === 0 ? grid.decimals : 0; decimals <= mostDecimals; decimals++) {
      const n = decimalOf(unit, decimals, value);
      if (n === null) continue;
      const before = i === 0 ? grid.step * 10 ** (decimals - grid.decimals) : 0;
      const step = commonDivisor(before, Math.abs(n));
      Object.assign(grid, { unit, decimals, step: step > largestStep ? 1 : step });
      return grid.step === 0 ? 0 : n / grid.step;
    }
  }
  return null;
}

/** A grid as one whole number; the same for a channel's whole life, it takes no room. */
export function gridCode({ unit, decimals, step }: Grid): number {
  return step * 256 + unit * 16 + decimals;
}

/** The value again, bit for bit. */
export function fromSteps(code: number, steps: number): number {
  const decimals = code % 16;
  const unit = Math.floor(code / 16) % 16;
  const decimal = (Math.floor(code / 256) * steps) / 10 ** decimals;
  const { times, over } = unitsOfDevices[unit] ?? unitsOfDevices[0];
  return unit === 0 ? decimal : (decimal * times) / over;
}

function onGrid({ unit, decimals, step }: Grid, value: number): number | null {
  const n = decimalOf(unit, decimals, value);
  if (n === null) return null;
  if (step === 0) return n === 0 ? 0 : null;
  return n % step === 0 ? n / step : null;
}

/** The value in units of that decimal of that unit, if it is exact there. */
function decimalOf(unit: number, decimals: number, value: number): number | null {
  const { times, over } = unitsOfDevices[unit] ?? unitsOfDevices[0];
  const power = 10 ** decimals;
  const n = Math.round((unit === 0 ? value : (value * over) / times) * power) + 0;
  const back = unit === 0 ? n / power : ((n / power) * times) / over;
  return back === value && Math.abs(n) <= largest ? n : null;
}

function commonDivisor(a: number, b: number): number {
  let [larger, smaller] = [a, b];
  while (smaller !== 0) [larger, smaller] = [smaller, larger % smaller];
  return larger;
}
