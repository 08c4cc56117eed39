// The grid that a sensor's values stand on, learned from the values: decimals, the unit they came in, and the step. On
// it they are whole numbers, and come back bit for bit; values that stand on no such grid are told apart.

/** value = (origin + step · n) / 10^decimals, then as the unit asks. */
export interface Grid {
  readonly unit: number;
  readonly decimals: number;
  readonly origin: number;
  readonly step: number;
}

/** How a decimal of a device becomes SI, in the very order of the conversion at the edge: · times / over. */
export const unitsOfDevices = [
  { times: 1, over: 1 },
  { times: 1, over: 1000 }, // mm
  { times: 1, over: 100 }, // cm
  { times: 254, over: 10_000 }, // in
  { times: 3048, over: 10_000 }, // ft
] as const;

const mostDecimals = 9;
const powers = Float64Array.from({ length: 16 }, (_, decimals) => 10 ** decimals);
const largest = 2 ** 50;

/** Used again for each column: to ask for so much memory, and to give it back, takes as long as to fill it. */
let room = new Float64Array(16_384);

/**
 * The grid of all these values and their whole numbers on it, counted from the first, which are valid until the next call;
 * null when there is none.
 */
export function ontoGrid(values: Float64Array): { grid: Grid; steps: Float64Array } | null {
  for (const unit of unitsOfDevices.keys()) {
    const found = inUnit(values, unit);
    if (found !== null) return counted(found.steps, unit, found.decimals);
  }
  return null;
}

/** The values, in place of how many steps each is from the grid's origin. */
export function fromGridInPlace({ unit, decimals, origin, step }: Grid, steps: Float64Array): void {
  const power = 10 ** decimals;
  const { times, over } = unitsOfDevices[unit] ?? unknownUnit(unit);
  if (power === 1) for (let i = 0; i < steps.length; i++) steps[i] = origin + step * (steps[i] as number);
  else for (let i = 0; i < steps.length; i++) steps[i] = (origin + step * (steps[i] as number)) / power;
  if (unit !== 0) for (let i = 0; i < steps.length; i++) steps[i] = ((steps[i] as number) * times) / over;
}

/** One value: to the last bit the one that `fromGridInPlace` gives; or the sum of some, from the sum of their whole numbers. */
export function fromGrid({ unit, decimals }: Grid, whole: number): number {
  const value = whole / (powers[decimals] as number);
  if (unit === 0) return value;
  const { times, over } = unitsOfDevices[unit] ?? unknownUnit(unit);
  return (value * times) / over;
}

/** The fewest decimals of that unit in which every value is exact, and the values in them. */
function inUnit(values: Float64Array, unit: number): { decimals: number; steps: Float64Array } | null {
  if (values.length > room.length) room = new Float64Array(values.length);
  const steps = room.subarray(0, values.length);
  for (let decimals = 0, from = 0; ; decimals++) {
    const end = exactUpTo(values, unit, decimals, steps, from, values.length);
    if (end === values.length) {
      // Those before were looked at with fewer decimals: they are exact in these, unless they grow too large.
      return exactUpTo(values, unit, decimals, steps, 0, from) === from ? { decimals, steps } : null;
    }
    if (decimals === mostDecimals) return null;
    from = end;
  }
}

/** Puts values `from` to before `to` into steps as long as they are exact; returns the place of the first that is not. */
function exactUpTo(
  values: Float64Array,
  unit: number,
  decimals: number,
  steps: Float64Array,
  from: number,
  to: number,
): number {
  const { times, over } = unitsOfDevices[unit] ?? unknownUnit(unit);
  const power = 10 ** decimals;
  for (let i = from; i < to; i++) {
    const value = values[i] as number;
    const n = Math.round((unit === 0 ? value : (value * over) / times) * power) + 0; // + 0: −0 is no whole number
    const back = unit === 0 ? n / power : ((n / power) * times) / over;
    if (back !== value || Math.abs(n) > largest || (n === 0 && Object.is(value, -0))) return i;
    steps[i] = n;
  }
  return to;
}

/** Counted from the first, in the largest step that they all share. */
function counted(steps: Float64Array, unit: number, decimals: number): { grid: Grid; steps: Float64Array } {
  const origin = steps[0] ?? 0;
  let step = 0;
  for (let i = 1; i < steps.length && step !== 1; i++) {
    step = commonDivisor(step, Math.abs((steps[i] as number) - origin));
  }
  if (step === 0) step = 1;
  for (let i = 0; i < steps.length; i++) steps[i] = (steps[i] as number) - origin;
  if (step !== 1) for (let i = 0; i < steps.length; i++) steps[i] = (steps[i] as number) / step;
  return { grid: { unit, decimals, origin, step }, steps };
}

function commonDivisor(a: number, b: number): number {
  let [larger, smaller] = [a, b];
  while (smaller !== 0) [larger, smaller] = [smaller, larger % smaller];
  return larger;
}

function unknownUnit(unit: number): never {
  throw new RangeError(`a chunk's values are in unit ${unit}, which there is not; it is damaged`);
}
