// Water that comes all at once in the middle of a rest: a bucket poured in. It is water, and counts; but no smooth curve
// goes through such a step, so it is taken out before the fit and put back on afterwards.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import type { RestFit } from "./fit-rest.ts";

export interface Pour {
  /** Between these times since the stop. */
  readonly from_s: number;
  readonly to_s: number;
  readonly volume_m3: number;
  /** Standard uncertainty, where other than the rest's own samples told the volume. */
  readonly uVolume_m3?: number;
}

/** A bucket is empty sooner; what comes for longer is a stream, and a curve follows it. */
const longest_s = 10;
/** Ripples and what runs back are over by then. */
const settled_s = 20;
const least_m3 = 0.001;
/** So many samples on either side must agree about where the water stands. */
const beside = 7;
/** So much more than the water rises by itself in the time, and than those samples are apart. */
const clearly = 8;
const apart = 2;
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
  const found = steepest(samples);
  if (found === null) return null;
  const { first, last } = found;
  const { t, y, weight, count } = samples;
  const low = besides(y, first - beside + 1);
  const high = besides(y, last);
  const lag_s = at(t, last + (beside >> 1)) - at(t, first - (beside >> 1));
  const whole_s = at(t, count - 1) - at(t, 0);
  const own_m3s = Math.max(
    0,
    (at(y, count - 1) - at(y, 0) - (high.middle - low.middle)) / Math.max(1, whole_s - lag_s),
  );
  const volume_m3 = high.middle - low.middle - own_m3s * lag_s;
  const clear = Math.max(
    least_m3,
    4 * step_m3,
    clearly * own_m3s * longest_s,
    apart * Math.max(low.spread, high.spread),
  );
  if (!(volume_m3 > clear)) return null;
  // A storm that breaks goes on where a bucket is empty.
  if (stillRising_m3(y, first - beside + 1) > goesOn * volume_m3 || stillRising_m3(y, last) > goesOn * volume_m3)
    return null;
  let from = first;
  while (from < last && at(y, from + 1) < low.middle + 0.1 * volume_m3) from += 1;
  let to = last;
  while (to > from + 1 && at(y, to - 1) > high.middle - 0.1 * volume_m3) to -= 1;
  // Two readings of one time have no course between them.
  if (!(at(t, to) > at(t, from))) return null;
  for (let i = from + 1; i < to; i += 1) weight[i] = 0;
  for (let i = to; i < count; i += 1) y[i] = at(y, i) - volume_m3;
  return { from_s: at(t, from), to_s: at(t, to), volume_m3 };
}

/** The fit of what was left, with the pour put back on; what goes on into the runs beside the rest is without it. */
export function withPour(fit: RestFit, pour: Pour): RestFit {
  const span_s = pour.to_s - pour.from_s;
  const poured_m3s = (from_s: number, to_s: number) => {
    const shared_s = Math.min(to_s, pour.to_s) - Math.max(from_s, pour.from_s);
    return (pour.volume_m3 * Math.max(0, shared_s)) / span_s / (to_s - from_s);
  };
  const uPour_m3 = pour.uVolume_m3 ?? medianSd * fit.sampleSd_m3 * Math.sqrt(2 / beside);
  const plusPour = (flow: FlowEstimate, from_s: number, to_s: number): FlowEstimate => {
    const more_m3s = poured_m3s(from_s, to_s);
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
      const length_s = (seenTo_s - seenFrom_s) / parts;
      return fit
        .inflowParts(parts)
        .map((flow, i) => flow + poured_m3s(seenFrom_s + i * length_s, seenFrom_s + (i + 1) * length_s));
    },
    leapParts(parts) {
      const length_s = (seenTo_s - seenFrom_s) / parts;
      return Array.from({ length: parts }, (_, i) =>
        poured_m3s(seenFrom_s + i * length_s, seenFrom_s + (i + 1) * length_s),
      );
    },
  };
}

/** The two samples, at most 10 s apart, between which the volume rose most; null where too few stand beside them. */
function steepest({ t, y, count }: CurveSamples): { readonly first: number; readonly last: number } | null {
  let most_m3 = least_m3;
  let found: { first: number; last: number } | null = null;
  let first = 0;
  for (let last = 1; last <= count - beside; last += 1) {
    while ((t[last] as number) - (t[first] as number) > longest_s) first += 1;
    const rise_m3 = (y[last] as number) - (y[first] as number);
    if (!(rise_m3 > most_m3) || first >= last || first < beside - 1 || (t[first] as number) < settled_s) continue;
    most_m3 = rise_m3;
    found = { first, last };
  }
  return found;
}

/** From the first two to the last two of the samples beside. */
function stillRising_m3(y: Float64Array, from: number): number {
  return (at(y, from + beside - 1) + at(y, from + beside - 2) - at(y, from + 1) - at(y, from)) / 2;
}

function besides(y: Float64Array, from: number): { readonly middle: number; readonly spread: number } {
  const near = y.slice(from, from + beside).sort();
  // The second from either end: one spike is no spread.
  return { middle: at(near, beside >> 1), spread: at(near, beside - 2) - at(near, 1) };
}

function at(values: ArrayLike<number>, i: number): number {
  return values[i] ?? Number.NaN;
}
