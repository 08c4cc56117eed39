// Water that runs back through the check valve after a stop: what it is, and when a rest's word for it is believed.

import type { RestMemory } from "../rest/rest-memory.ts";
import type { SlowCourse } from "./slow-course.ts";

/** Water that returns after a stop: how much, and the time constant with which it comes. */
export interface DrainBack {
  readonly volume_m3: number;
  /** Time constant of a closing valve's exponential, or how long it takes until all is back. */
  readonly time_s: number;
  readonly course: SlowCourse;
}

/** Of what the pipe holds. More cannot come back, and is a mistake of the estimate. */
export const mostOfPipe = 1.5;
/** What seven metres of two-inch pipe hold, or of a greater basin's pipe this share of a run; common practice, no source. */
export const unknownPipe_m3 = 0.015;
export const unknownPipeOfRun = 0.2;
export const noReturn: DrainBack = { volume_m3: 0, time_s: 0, course: "fading" };
/** What most of them let through at the most; common practice, no source. */
export const usualClosing_m3 = 0.0005;
/** More than any closing valve lets through; common practice, no source. */
export const closing_m3 = 0.002;
/** Volumes that are fitted by different courses differ by so much. */
const muchAlike = 0.4;

/** A valve that never let much through does not do so once; then something else came in after the stop. */
export function believable({ volume_m3, course }: DrainBack, learned: DrainBack | null): boolean {
  if (volume_m3 < closing_m3) return true;
  return learned === null ? course === "fading" : volume_m3 < 3 * learned.volume_m3;
}

/** What comes back through a valve comes again after the next run; what pours in does not for long, and never as much. */
export function noteReturn(memory: RestMemory, found: DrainBack | undefined): void {
  const [before_m3, now_m3] = [memory.cameBack_m3, found?.volume_m3 ?? null];
  memory.cameBack_m3 = now_m3;
  const asBefore =
    before_m3 !== null && now_m3 !== null && Math.abs(now_m3 - before_m3) < muchAlike * Math.max(before_m3, now_m3);
  memory.cameBackInARow = now_m3 === null ? 0 : asBefore ? memory.cameBackInARow + 1 : 1;
}

/** What a pipe may give back at the most that holds so much; null or undefined: nobody says how much. */
export function mostFromPipe_m3(pipeHolds_m3: number | null | undefined, lifted_m3: number): number {
  return pipeHolds_m3 == null ? Math.max(unknownPipe_m3, unknownPipeOfRun * lifted_m3) : mostOfPipe * pipeHolds_m3;
}

/** When what is still to come is a twentieth of a sample's noise. */
export function settlingTime_s({ volume_m3, time_s, course }: DrainBack, sampleSd_m3: number): number {
  if (course === "steady") return time_s;
  return time_s * Math.log(Math.max(volume_m3 / (0.05 * sampleSd_m3), Math.E));
}

/** What a slow sensor has still to show of the run hides what runs back meanwhile. */
export function isLag(drainBack: DrainBack | null): boolean {
  return drainBack !== null && drainBack.volume_m3 < 0;
}
