// Water that comes all at once in the middle of a rest: a bucket poured in. It is water, and counts; but no smooth curve
// goes through such a step, so it is taken out before the fit and put back on afterwards.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { closelyRead_s } from "../../readings/closely-read.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import type { RestFit } from "../rest/fit-rest.ts";
import { scatterAt_m3, scatterOf } from "../sensor-errors/scatter-of-reading.ts";

export interface Pour {
  /** Between these times since the stop. */
  readonly from_s: number;
  readonly to_s: number;
  readonly volume_m3: number;
  /** Standard uncertainty, where other than the rest's own samples told the volume. */
  readonly uVolume_m3?: number;
}

/** A bucket is empty sooner; what comes for longer is a stream, and a curve follows it. Of readings far apart: two intervals. */
const longest_s = 10;
const mostIntervals = 2.2;
/** Ripples and what runs back are over by then. */
const settled_s = 20;
const least_m3 = 0.001;
/** So many samples on either side must agree about where the water stands; of readings far apart, fewer. */
const beside = 7;
const besideFarApart = 5;
const nearest = 3;
/** So much more than the water rises by itself in the time, and than those samples are apart. */
const clearly = 5;
const apart = 2;
/** … and standard deviations of a sample. */
const clearOfNoise = 8;
/** Share of the pour by which the samples on either side may rise. */
const goesOn = 0.25;
const medianSd = 1.2533;

/**
 * Looks for a step in the samples of a rest; where there is one, lowers what follows it and gives what lies in it no
 * weight.
 *
 * @param samples volumes in m³ against seconds since the stop, in order of time; changed where a pour is found
 * @param step_m3 what one step of the level sensor is worth
 */
export function takeOutPour(samples: CurveSamples, step_m3: number): Pour | null {
  return takeOutStep(samples, step_m3, 1);
}

/**
 * The same for a level that falls at once, as no water at rest does: what follows is raised. Its volume is below 0.
 *
 * @param samples as for `takeOutPour`, of a rest in which no run went by
 */
export function takeOutFall(samples: CurveSamples, step_m3: number): Pour | null {
  return takeOutStep(samples, step_m3, -1);
}

function takeOutStep(samples: CurveSamples, step_m3: number, sign: 1 | -1): Pour | null {
  const near = intervalOf_s(samples) > closelyRead_s ? besideFarApart : beside;
  const found = steepest(samples, sign, near);
  if (found === null) return null;
  const { first, last } = found;
  const { t, y, weight, count } = samples;
  const own_m3s = Math.max(0, Math.min(paceOf(samples, 0, first, near), paceOf(samples, last, count - 1, near)));
  const low_m3 = middleOf(samples, first - near + 1, near, own_m3s);
  const high_m3 = middleOf(samples, last, near, own_m3s);
  const volume_m3 = high_m3 - low_m3;
  const spread_m3 = Math.max(
    spreadOf_m3(samples, first - near + 1, near, own_m3s),
    spreadOf_m3(samples, last, near, own_m3s),
  );
  const rises_m3 = sign > 0 ? clearly * own_m3s * longest_s : 0;
  if (!(sign * volume_m3 > Math.max(least_m3, 4 * step_m3, rises_m3, apart * spread_m3))) return null;
  // The steepest of many pairs of readings stands out by chance; those beside it agree by chance, too.
  if (!(sign * volume_m3 > clearOfNoise * scatterAt_m3(scatterOf(samples), samples, first))) return null;
  // What only rises less than before has not fallen.
  if (sign < 0 && !(2 * fallOf_m3(samples, first, last) > -volume_m3)) return null;
  // A storm that breaks goes on where a bucket is empty.
  const more_m3 = (from: number) => sign * stillRising_m3(samples, from, near, own_m3s);
  if (Math.max(more_m3(first - near + 1), more_m3(last)) > goesOn * sign * volume_m3) return null;
  const so_m3 = (i: number) => sign * (at(y, i) - own_m3s * at(t, i));
  let from = first;
  while (from < last && so_m3(from + 1) < sign * (low_m3 + 0.1 * volume_m3)) from += 1;
  let to = last;
  while (to > from + 1 && so_m3(to - 1) > sign * (high_m3 - 0.1 * volume_m3)) to -= 1;
  // Two readings of one time have no course between them.
  if (!(at(t, to) > at(t, from))) return null;
  for (let i = from + 1; i < to; i += 1) weight[i] = 0;
  for (let i = to; i < count; i += 1) y[i] = at(y, i) - volume_m3;
  return { from_s: at(t, from), to_s: at(t, to), volume_m3 };
}

/** What of each of so many equal parts of a rest came by the pour. */
export function poursIn({ seenFrom_s, seenTo_s }: RestFit, pour: Pour, parts: number): number[] {
  const length_s = (seenTo_s - seenFrom_s) / parts;
  return Array.from({ length: parts }, (_, i) =>
    pouredIn_m3s(pour, seenFrom_s + i * length_s, seenFrom_s + (i + 1) * length_s),
  );
}

/** Mean between two times since the stop. */
export function pouredIn_m3s(pour: Pour, from_s: number, to_s: number): number {
  const shared_s = Math.min(to_s, pour.to_s) - Math.max(from_s, pour.from_s);
  return (pour.volume_m3 * Math.max(0, shared_s)) / (pour.to_s - pour.from_s) / (to_s - from_s);
}

/** The fit of what was left, with the pour put back on; what goes on into the runs beside the rest is without it. */
export function withPour(fit: RestFit, pour: Pour): RestFit {
  const uPour_m3 = pour.uVolume_m3 ?? medianSd * fit.sampleSd_m3 * Math.sqrt(2 / beside);
  const plusPour = (flow: FlowEstimate, from_s: number, to_s: number): FlowEstimate => {
    const more_m3s = pouredIn_m3s(pour, from_s, to_s);
    if (more_m3s === 0) return flow;
    return {
      ...flow,
      flow_m3s: flow.flow_m3s + more_m3s,
      uFlow_m3s: Math.hypot(flow.uFlow_m3s, uPour_m3 / (to_s - from_s)),
    };
  };
  const { seenFrom_s, seenTo_s } = fit;
  return {
    ...fit,
    inflow: plusPour(fit.inflow, seenFrom_s, seenTo_s),
    endVolume_m3: fit.endVolume_m3 === null ? null : fit.endVolume_m3 + pour.volume_m3,
    inflowParts: (parts) => {
      const more_m3s = poursIn(fit, pour, parts);
      return fit.inflowParts(parts).map((flow, i) => flow + (more_m3s[i] as number));
    },
    uLeapParts: (parts) => poursIn(fit, { ...pour, volume_m3: uPour_m3 }, parts),
  };
}

function intervalOf_s({ t, count }: CurveSamples): number {
  return count < 2 ? 0 : ((t[count - 1] as number) - (t[0] as number)) / (count - 1);
}

/** The two samples, little apart, between which the volume rose or fell most; null where too few stand beside them. */
function steepest(
  { t, y, weight, count }: CurveSamples,
  sign: 1 | -1,
  near: number,
): { readonly first: number; readonly last: number } | null {
  let most_m3 = least_m3;
  let found: { first: number; last: number } | null = null;
  let first = 0;
  for (let last = 1; last <= count - near; last += 1) {
    const at_s = t[last] as number;
    const atOnce_s = Math.max(longest_s, mostIntervals * (at_s - (t[last - 1] as number)));
    while (at_s - (t[first] as number) > atOnce_s) first += 1;
    const rise_m3 = sign * ((y[last] as number) - (y[first] as number));
    if (!(rise_m3 > most_m3) || first >= last || first < near - 1 || (t[first] as number) < settled_s) continue;
    if (!((weight[first] as number) > 0 && (weight[last] as number) > 0)) continue;
    most_m3 = rise_m3;
    found = { first, last };
  }
  return found;
}

/** Of a side too short to tell, as much as the other says. */
function paceOf(samples: CurveSamples, from: number, to: number, near: number): number {
  const { t } = samples;
  if (at(t, to) - at(t, from) < settled_s) return Number.POSITIVE_INFINITY;
  // The middle of some at either end, for one of them alone may be a spike: an odd number, at most half of all.
  const some = Math.min(near, ((to - from + 1) >> 1) - 1) | 1;
  const half = some >> 1;
  const rise_m3 = middleOf(samples, to - some + 1, some, 0) - middleOf(samples, from, some, 0);
  return rise_m3 / (at(t, to - half) - at(t, from + half));
}

/** Between the samples next to it: those farther off have the water's own rise between them. */
function fallOf_m3(samples: CurveSamples, first: number, last: number): number {
  return middleOf(samples, first - nearest + 1, nearest, 0) - middleOf(samples, last, nearest, 0);
}

/** From the first two to the last two of the samples from `from` on, beside what they rise by themselves. */
function stillRising_m3({ t, y }: CurveSamples, from: number, near: number, own_m3s: number): number {
  const so_m3 = (i: number) => at(y, i) - own_m3s * at(t, i);
  const last = from + near - 1;
  return (so_m3(last) + so_m3(last - 1) - so_m3(from + 1) - so_m3(from)) / 2;
}

/** Of `near` samples from `from` on, less what they rise by themselves. */
function middleOf(samples: CurveSamples, from: number, near: number, own_m3s: number): number {
  return at(inOrder(samples, from, near, own_m3s), near >> 1);
}

/** The second from either end: one spike is no spread. */
function spreadOf_m3(samples: CurveSamples, from: number, near: number, own_m3s: number): number {
  const sorted = inOrder(samples, from, near, own_m3s);
  return at(sorted, near - 2) - at(sorted, 1);
}

function inOrder({ t, y }: CurveSamples, from: number, near: number, own_m3s: number): Float64Array {
  const beside_m3 = new Float64Array(near);
  for (let i = 0; i < near; i += 1) beside_m3[i] = at(y, from + i) - own_m3s * at(t, from + i);
  return beside_m3.sort();
}

function at(values: ArrayLike<number>, i: number): number {
  return values[i] ?? Number.NaN;
}
