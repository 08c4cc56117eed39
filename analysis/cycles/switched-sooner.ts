// When the pump really started or stopped, where its contact bounces and the one reading that came meanwhile still said what
// had been: the water turned before it. Taken for a part of the rest or run before, such a reading would pass for a spike, and
// the water that the pump seems to have moved on until then for water that ran back at once.

import { closelyRead_s, hidesAtOnce_s } from "../readings/closely-read.ts";
import { curveSamples } from "./samples.ts";
import type { TrackerContext } from "./tracker-context.ts";
import type { TrackerState } from "./tracker-state.ts";

/** So much of the fall from one reading to the next is missing, and what is by so many standard deviations of it. */
const someOfFall = 0.2;
const clearly = 3;
/** A rest whose latest readings lie on one line goes on so. */
const ofCourse = 4;

/** The last reading of the rest or run that ends, at which a steady contact would have been read to have switched. */
export interface SwitchedSooner {
  readonly time_s: number;
  readonly volume_m3: number;
  /** The reading before it. */
  readonly before_s: number;
}

/**
 * @param time_s when the contact was read to have switched
 * @param next_m levels read from then on
 * @returns null where the water turned no sooner, or nothing shows it
 */
export function switchedSooner(
  { phase, samples, memory, pumps }: TrackerState,
  { inferred, hasLevel, interval_s, longInterval_s, geometry }: TrackerContext,
  time_s: number,
  next_m: readonly number[],
): SwitchedSooner | null {
  const [next] = next_m;
  // Two pumps' contacts say when each of them switches.
  if (inferred || !hasLevel || pumps.origin !== null || next === undefined) return null;
  // Closer readings show the bounce, and between others a run may go by.
  if (interval_s < hidesAtOnce_s || longInterval_s > closelyRead_s) return null;
  const { t, y, count } = curveSamples(samples);
  if (count < 3) return null;
  const back = (values: Float64Array, i: number) => values[count - i] as number;
  const now_s = samples.origin_s + back(t, 1);
  const apart_s = back(t, 1) - back(t, 2);
  const fell_m3 = back(y, 2) - back(y, 1);
  const fallsOn_m3 = back(y, 1) - geometry.volume_m3(next);
  const noise_m3 = clearly * Math.SQRT2 * memory.sampleSd_m3;
  const starts = () => {
    const course = courseBefore(t, y, count);
    // Where the level moved before, by spikes or as a storm breaks, no start is sure.
    if (course === null || course.off_m3 > noise_m3) return false;
    // A spike down is followed by where the water is.
    return course.missing_m3 > clearly * course.sds * memory.sampleSd_m3 && fallsOn_m3 > fell_m3 - noise_m3;
  };
  const stops = () => {
    const falls_m3 = ((back(y, 3) - back(y, 2)) / (back(t, 2) - back(t, 3))) * apart_s;
    const least_m3 = Math.max(noise_m3, someOfFall * falls_m3);
    // A spike up is followed by where the water is, and a pump that goes on takes it further down.
    return falls_m3 > 0 && falls_m3 - fell_m3 > least_m3 && fallsOn_m3 <= least_m3;
  };
  const sooner = now_s < time_s && (phase === "run" ? stops() : phase === "rest" && starts());
  return sooner ? { time_s: now_s, volume_m3: back(y, 1), before_s: samples.origin_s + back(t, 2) } : null;
}

/**
 * What is missing of the last reading where the line through the first and the last of those before it goes on; by how much
 * another of them is off it, and what stands for one standard deviation of a reading. Null of a rest too short to tell.
 */
function courseBefore(t: Float64Array, y: Float64Array, count: number) {
  const first = count - 1 - ofCourse;
  if (first < 0) return null;
  const last = count - 2;
  const at = (values: Float64Array, i: number) => values[i] as number;
  const slope = (at(y, last) - at(y, first)) / (at(t, last) - at(t, first));
  const lineAt = (i: number) => at(y, last) + slope * (at(t, i) - at(t, last));
  let off_m3 = 0;
  for (let i = first + 1; i < last; i += 1) off_m3 = Math.max(off_m3, Math.abs(at(y, i) - lineAt(i)));
  const further = (at(t, count - 1) - at(t, last)) / (at(t, last) - at(t, first));
  return { missing_m3: lineAt(count - 1) - at(y, count - 1), off_m3, sds: Math.hypot(1, 1 + further, further) };
}
