// Water that pours in while hardly a reading shows it, where readings are far apart: just after the stop or just before the
// start, a curve through the rest takes the one or two that do for spikes. How much came in all is known from where the
// float trips.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianInPlace } from "../../statistics/median.ts";
import type { RestFit } from "../rest/fit-rest.ts";
import { type Pour, pouredIn_m3s, poursIn, withPour } from "./poured-in.ts";

/** Stored volumes at which the pump usually stops and starts. */
export interface UsualRest {
  readonly from_m3: number;
  readonly to_m3: number;
  /** Standard uncertainty of either, once: its scatter, and what rises until it is seen. */
  readonly uTrip_m3: number;
}

/** Readings closer together show a pour by themselves; common practice, no source. */
const farApart_s = 10;
/** … but for a bucket that starts the pump: a reading or two hold it. */
const bucket_s = 4;
/** Uncertainties of a trip, and share of what lies between the trips, by which a curve's end must miss it. */
const clearly = 3;
const shareOfRest = 0.1;
/** The readings themselves must show so much of what came beside what seeps in: where a float was lifted by hand, none. */
const shareSeen = 0.15;
/** … and so many standard deviations of a reading. */
const standsOut = 2;
/**
 * … and steps of the sensor, which lay the pace of a quarter of the rest off by half of one, and so the whole by two, the two
 * readings by one, and leave one for noise.
 */
const stepsInSeen = 4;

export function isReadSeldom(readings: number, duration_s: number): boolean {
  return duration_s >= bucket_s * readings;
}

/**
 * The fit with what its curve misses between the trips, before the first and after the last of the samples that it follows.
 *
 * @param samples  those that were fitted, in m³ against seconds since the stop; those of a long rest stand for some each
 * @param readings how many there were
 * @param uEdges_s standard uncertainty of the rest's length
 * @param step_m3  a step of the level sensor, as a volume; 0 where none is known
 * @returns null where the curve reaches from trip to trip, or the readings show nothing else
 */
export function betweenTrips(
  fit: RestFit,
  samples: CurveSamples,
  readings: number,
  duration_s: number,
  { from_m3: stop_m3, to_m3, uTrip_m3 }: UsualRest,
  uEdges_s: number,
  step_m3: number,
): RestFit | null {
  const { startVolume_m3, endVolume_m3, drainBack } = fit;
  if (startVolume_m3 === null || endVolume_m3 === null) return null;
  if (!isReadSeldom(readings, duration_s)) return null;
  // What is told to run back is in the curve's beginning as if it had been there at once.
  const from_m3 = stop_m3 + (drainBack?.volume_m3 ?? 0);
  const clear_m3 = Math.max(clearly * uTrip_m3, shareOfRest * (to_m3 - stop_m3));
  const beginningHides = duration_s >= farApart_s * readings;
  const start_m3 = beginningHides && startVolume_m3 - from_m3 > clear_m3 ? from_m3 : startVolume_m3;
  const end_m3 = to_m3 - endVolume_m3 > clear_m3 ? to_m3 : endVolume_m3;
  if (!(end_m3 - start_m3 > endVolume_m3 - startVolume_m3)) return null;
  const calm_m3s = usualPace_m3s(samples);
  const seen_m3 = seenBeyond_m3(samples, calm_m3s);
  if (!(seen_m3 > shareSeen * (end_m3 - start_m3 - calm_m3s * duration_s))) return null;
  if (!(seen_m3 > Math.max(standsOut * fit.sampleSd_m3, stepsInSeen * step_m3))) return null;
  const uLength_m3 = ((end_m3 - start_m3) * uEdges_s) / duration_s;
  const uVolume_m3 = Math.hypot(uTrip_m3, uLength_m3);
  const { first_s, last_s } = followed(samples, duration_s / readings, duration_s);
  const after: Pour = { from_s: 0, to_s: first_s, volume_m3: startVolume_m3 - start_m3, uVolume_m3 };
  const before: Pour = { from_s: last_s, to_s: duration_s, volume_m3: end_m3 - endVolume_m3, uVolume_m3 };
  const pours = [after, before].filter(({ volume_m3, from_s, to_s }) => volume_m3 > 0 && to_s > from_s);
  const poured = pours.reduce(withPourAtEnd, fit);
  return {
    ...poured,
    startVolume_m3: start_m3,
    endVolume_m3: end_m3,
    // What goes on at an end goes on into the run beside it.
    turns_s: {
      first: pours.includes(after) ? first_s : (fit.turns_s?.first ?? last_s),
      last: pours.includes(before) ? last_s : (fit.turns_s?.last ?? first_s),
    },
    uLeapParts: (parts) =>
      sumOf(
        parts,
        pours.map((pour) => poursIn(fit, { ...pour, volume_m3: uWhen(pour) }, parts)),
      ),
    ...(pours.includes(after) && { returnedParts: (parts: number) => poursIn(fit, after, parts) }),
  };
}

/** In most of the rest, by readings a quarter of it apart: from one to the next a coarse sensor mostly shows no rise at all. */
function usualPace_m3s({ t, y, count }: CurveSamples): number {
  const apart = Math.max(1, count >> 2);
  const paces_m3s = new Float64Array(Math.max(0, count - apart));
  for (let i = 0; i + apart < count; i += 1)
    paces_m3s[i] = ((y[i + apart] as number) - (y[i] as number)) / ((t[i + apart] as number) - (t[i] as number));
  return medianInPlace(paces_m3s);
}

/** The last of the rest's readings may be of the run already. */
const atEnd = 3;

/** By how much more than at that pace the readings rise from the first to the highest at the end. */
function seenBeyond_m3({ t, y, count }: CurveSamples, pace_m3s: number): number {
  let most_m3 = 0;
  for (let i = Math.max(1, count - atEnd); i < count; i += 1)
    most_m3 = Math.max(most_m3, (y[i] as number) - (y[0] as number) - pace_m3s * ((t[i] as number) - (t[0] as number)));
  return most_m3;
}

/** From the first to the last of the samples that the curve follows; stop and start are known no better than to an interval. */
function followed({ t, weight, count }: CurveSamples, interval_s: number, duration_s: number) {
  let [first, last] = [0, count - 1];
  while (first < last && !((weight[first] as number) > 0)) first += 1;
  while (last > first && !((weight[last] as number) > 0)) last -= 1;
  return {
    first_s: Math.max(interval_s, t[first] as number),
    last_s: Math.min(duration_s - interval_s, t[last] as number),
  };
}

/** It came in at some time between two readings or three, faster than in the mean of them; judgement, no source. */
const sooner = 0.3;

function uWhen({ volume_m3, uVolume_m3 = 0 }: Pour): number {
  return Math.hypot(uVolume_m3, sooner * volume_m3);
}

function sumOf(parts: number, flows: readonly (readonly number[])[]): number[] {
  return Array.from({ length: parts }, (_, i) => flows.reduce((sum, flow) => sum + (flow[i] ?? 0), 0));
}

function withPourAtEnd(fit: RestFit, pour: Pour): RestFit {
  const poured = withPour(fit, pour);
  return {
    ...poured,
    inflowOver: (from_s, to_s) => {
      const flow = fit.inflowOver(from_s, to_s);
      const more = pouredIn_m3s(pour, from_s, to_s);
      const u_m3s = more * (uWhen(pour) / pour.volume_m3);
      return { ...flow, flow_m3s: flow.flow_m3s + more, uFlow_m3s: Math.hypot(flow.uFlow_m3s, u_m3s) };
    },
  };
}
