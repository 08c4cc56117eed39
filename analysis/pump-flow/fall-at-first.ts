// How the volume falls in the first seconds of a run, and how that changes within its first minute: a storm that breaks
// goes on to grow, and lets the water fall as fast as ever at first; a pump that is held back does not from its start on.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { edge_s } from "../cycles/run-lengths.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import { fitLine } from "../statistics/fit-line.ts";

export interface FallAtFirst {
  /** Once the pump was up to speed. */
  readonly fall: FlowEstimate;
  /** By how much it has slowed by the end of the minute; below 0 where it has grown. */
  readonly slows_m3s: number;
}

/** Beginning and end of the minute, or of a run that is shorter: as short as a storm that breaks asks for, and as many readings as noise asks for. */
const end_s = 10;
const fewest = 4;

/**
 * @param samples     volumes in m³ against seconds since the start
 * @param upToSpeed_s from when on the pump is up to speed
 * @returns null where the minute has too few readings
 */
export function fallAtFirst({ t, y, count }: CurveSamples, upToSpeed_s: number): FallAtFirst | null {
  let from = 0;
  while (from < count && (t[from] as number) < upToSpeed_s) from += 1;
  let to = from;
  while (to < count && (t[to] as number) <= edge_s) to += 1;
  if (to - from < 2 * fewest) return null;
  const [first_s, last_s] = [t[from] as number, t[to - 1] as number];
  let until = from + fewest;
  while (until < to && (t[until] as number) - first_s <= end_s) until += 1;
  let since = to - fewest;
  while (since > from && last_s - (t[since - 1] as number) <= end_s) since -= 1;
  if (since < until) return null;
  const line = (start: number, end: number) => fitLine(t.subarray(start, end), y.subarray(start, end));
  const [first, later] = [line(from, until), line(since, to)];
  const { slope, uSlope, degreesOfFreedom } = first;
  return { fall: { flow_m3s: -slope, uFlow_m3s: uSlope, degreesOfFreedom }, slows_m3s: later.slope - slope };
}

/** So few readings as a basin takes to empty that nothing comes into. */
const fewestLast = 3;
/** What runs in beside a short run may end seconds before it. */
const endOfShort_s = 5;

/** @returns the fall in the last seconds of the samples of a run; null where they are too few */
export function fallAtLast(samples: CurveSamples): FlowEstimate | null {
  return fallWithin(samples, end_s, fewestLast);
}

/**
 * The same of a short run.
 *
 * @param sampleSd_m3 of a sample: four or five of them show it badly by themselves
 */
export function fallAtShortsLast(samples: CurveSamples, sampleSd_m3: number): FlowEstimate | null {
  const fall = fallWithin(samples, endOfShort_s, fewest);
  if (fall === null) return null;
  const { t, count } = samples;
  const span_s = Math.max(endOfShort_s, (t[count - 1] as number) - (t[count - fewest] as number));
  // A line through n evenly spaced samples knows its slope to σ·√(12/n) over what they span, somewhat better for few.
  return { ...fall, uFlow_m3s: Math.max(fall.uFlow_m3s, (sampleSd_m3 * Math.sqrt(12 / fewest)) / span_s) };
}

function fallWithin({ t, y, count }: CurveSamples, within_s: number, least: number): FlowEstimate | null {
  if (count < least) return null;
  const last_s = t[count - 1] as number;
  let from = count - least;
  while (from > 0 && last_s - (t[from - 1] as number) <= within_s) from -= 1;
  const { slope, uSlope, degreesOfFreedom } = fitLine(t.subarray(from, count), y.subarray(from, count));
  return { flow_m3s: -slope, uFlow_m3s: uSlope, degreesOfFreedom };
}
