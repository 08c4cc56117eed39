// How far a level sensor's errors tilt a stretch as short as a run, as the rests show it: a run has few samples of its own,
// and errors that wander for longer than it lasts leave no trace in what is left over from its fit.

import type { CurveSamples } from "../../statistics/fit-curve.ts";

export interface ShortStretchState {
  /** Stretches of so long are looked at: the usual run at full speed; NaN before the first. */
  length_s: number;
  /** Mean of slope² · span³, which independent errors leave the same for any length. */
  tilt_m6s: number;
  /** Variance of a single sample about its rest's curve. */
  single_m6: number;
  stretches: number;
}

export function newShortStretch(): ShortStretchState {
  return { length_s: Number.NaN, tilt_m6s: 0, single_m6: 0, stretches: 0 };
}

const perRest = 6;
const memory = 300;
/** Until then the surface may still rock. */
const settled_s = 40;
const fewestSamples = 5;
const fewestStretches = 30;
/** What pours in within a rest tilts a stretch as well: no stretch counts for more than so many of the usual. */
const mostOfUsual = 9;

/** @param curve the volume of the rest as it was fitted */
export function learnShortStretches(
  state: ShortStretchState,
  samples: CurveSamples,
  curve: (t: number) => number,
): void {
  const { t, count } = samples;
  const { length_s } = state;
  const first_s = settled_s;
  const room_s = (t[count - 1] ?? 0) - length_s - first_s;
  if (!(room_s > 0)) return;
  const many = Math.min(perRest, 1 + Math.floor(room_s / length_s));
  let i = 0;
  for (let stretch = 0; stretch < many; stretch += 1) {
    const from_s = first_s + (room_s * stretch) / Math.max(1, many - 1);
    while (i < count && (t[i] as number) < from_s) i += 1;
    take(state, samples, curve, i, from_s + length_s);
  }
}

function take(
  state: ShortStretchState,
  { t, y, weight, count }: CurveSamples,
  curve: (t: number) => number,
  from: number,
  to_s: number,
): void {
  let n = 0;
  let sumT = 0;
  let sumY = 0;
  let sumTT = 0;
  let sumTY = 0;
  let singles = 0;
  let squares = 0;
  const origin_s = t[from] as number;
  let first_s = Number.NaN;
  let last_s = Number.NaN;
  for (let i = from; i < count && (t[i] as number) <= to_s; i += 1) {
    if (!((weight[i] as number) > 0)) continue;
    const time_s = (t[i] as number) - origin_s;
    const off_m3 = (y[i] as number) - curve(t[i] as number);
    if (n === 0) first_s = time_s;
    last_s = time_s;
    n += 1;
    sumT += time_s;
    sumY += off_m3;
    sumTT += time_s * time_s;
    sumTY += time_s * off_m3;
    // A mean of several readings has less noise than one.
    if ((weight[i] as number) > 1) continue;
    singles += 1;
    squares += off_m3 * off_m3;
  }
  const spread_s2 = sumTT - sumT ** 2 / n;
  if (n < fewestSamples || !(spread_s2 > 0)) return;
  const slope_m3s = (sumTY - (sumT * sumY) / n) / spread_s2;
  const known = state.stretches >= fewestStretches;
  const most = (usual: number) => (known ? mostOfUsual * usual : Number.POSITIVE_INFINITY);
  state.stretches += 1;
  const step = 1 / Math.min(memory, state.stretches);
  const tilt_m6s = Math.min(slope_m3s ** 2 * (last_s - first_s) ** 3, most(state.tilt_m6s));
  state.tilt_m6s += (tilt_m6s - state.tilt_m6s) * step;
  if (singles < fewestSamples) return;
  const single_m6 = Math.min(squares / singles, most(state.single_m6));
  state.single_m6 += (single_m6 - state.single_m6) * (state.single_m6 === 0 ? 1 : step);
}

/** Standard uncertainty of the slope of a line over so many seconds, m³/s; null before enough has been seen. */
export function uSlopeOver({ tilt_m6s, stretches }: ShortStretchState, span_s: number): number | null {
  return stretches < fewestStretches ? null : Math.sqrt(tilt_m6s / span_s ** 3);
}

/** Standard deviation of a sample about its curve, m³; null before enough has been seen. */
export function singleSd_m3({ single_m6, stretches }: ShortStretchState): number | null {
  return stretches < fewestStretches || single_m6 === 0 ? null : Math.sqrt(single_m6);
}
