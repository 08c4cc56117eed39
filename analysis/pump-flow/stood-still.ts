// A pump that runs and moves nothing, for as long as its discharge is blocked, and all that it usually does once it is freed.

import type { VolumeCourse } from "../inflow/over-time/volume-course.ts";

/** It comes free and stops within a few seconds, and between two readings. */
const leastEdge_s = 5;
const edgeReadings = 2;
/** What moves this share of the usual is not nothing; and what the level, or the ground, changes of the usual rate. */
const nothing = 0.1;
const unlike = 0.2;
/** A shorter standstill may be no more than its two edges. */
const edgesOfStill = 4;

/**
 * A storm would have to bring as much as the pump moves from one reading to the next as the pump starts, keep to that, and
 * end as suddenly: it comes and goes more slowly.
 *
 * @param course     volumes over the run, none of them of a pump that ran dry
 * @param inflow_m3s that of the rests on either side
 * @param usual_m3s  what the pump moves
 */
export function stoodStill(
  { t, y, count }: VolumeCourse,
  run_s: number,
  inflow_m3s: number,
  usual_m3s: number,
): boolean {
  if (count < 2) return false;
  const moved_m3 = (i: number) =>
    inflow_m3s * ((t[i] as number) - (t[0] as number)) + (y[0] as number) - (y[i] as number);
  const edge_s = Math.max(leastEdge_s, (edgeReadings * run_s) / count);
  const freedAt_s = (t[count - 1] as number) - moved_m3(count - 1) / usual_m3s;
  if (freedAt_s < edgesOfStill * edge_s) return false;
  for (let i = 1; i < count; i += 1) {
    const since_s = (t[i] as number) - freedAt_s;
    const off_m3 = moved_m3(i) - usual_m3s * Math.max(0, since_s);
    const drift_s = since_s > 0 ? unlike * since_s : nothing * (t[i] as number);
    // It may have moved some before it was blocked, and never less than nothing: what rises faster is more inflow.
    const least_s = since_s > -edge_s ? edge_s : leastEdge_s;
    const rises_m3 = since_s > 0 ? usual_m3s * drift_s : inflow_m3s * drift_s;
    if (off_m3 > usual_m3s * (edge_s + drift_s) || off_m3 < -usual_m3s * least_s - rises_m3) return false;
  }
  return true;
}

/** So long the water must have gone on as at rest, at least so much of what came in and at most. */
const risesOn_s = 540;
const asAtRest = { least: 0.6, most: 1.3 } as const;
/** Standard deviations of a reading by which it must have risen. */
const clearly = 4;

/**
 * Whether the water went on rising for the first minutes of the run as it did at rest, as if nothing ran: a storm would have to
 * bring what the pump moves from its start on, to within a part of the little that came in before. Whatever comes later, over
 * the rim or once it is freed: a pump that began so is no measure of what comes in.
 *
 * @param course      volumes over the run
 * @param inflow_m3s  that of the rest before, at its end
 * @param sampleSd_m3 standard deviation of a reading
 */
export function roseAsAtRest({ t, y, count }: VolumeCourse, inflow_m3s: number, sampleSd_m3: number): boolean {
  let last = 0;
  while (last + 1 < count && (t[last] as number) - (t[0] as number) < risesOn_s) last += 1;
  const seen_s = count === 0 ? 0 : (t[last] as number) - (t[0] as number);
  if (seen_s < risesOn_s || !(inflow_m3s > 0)) return false;
  const off_m3 = clearly * sampleSd_m3;
  if (!((y[last] as number) - (y[0] as number) > off_m3)) return false;
  // All the way: a storm that overtakes the pump lets the water fall first.
  for (let i = 1; i <= last; i += 1) {
    const came_m3 = inflow_m3s * ((t[i] as number) - (t[0] as number));
    const risen_m3 = (y[i] as number) - (y[0] as number);
    if (risen_m3 < asAtRest.least * came_m3 - off_m3 || risen_m3 > asAtRest.most * came_m3 + off_m3) return false;
  }
  const risen_m3 = (y[last] as number) - (y[0] as number);
  const share = risen_m3 / (inflow_m3s * seen_s);
  return share > asAtRest.least && share < asAtRest.most;
}
