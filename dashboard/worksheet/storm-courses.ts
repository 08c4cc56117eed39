// The worst storm of the record run again, as the basin would have gone through it: as it stands, and as it is on the
// sheet. Pure; the replay itself is in analysis/whatif.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Course } from "../../analysis/paper/level-chart.ts";
import type { Site } from "../../analysis/site.ts";
import { joinInflow } from "../../analysis/whatif/join-inflow.ts";
import { batteryAsUsual, type KnownInstallation } from "../../analysis/whatif/plan.ts";
import { type WhatIfRow, whatIf } from "../../analysis/whatif/what-if.ts";

export interface Candidate {
  readonly name: string;
  readonly site: Site;
}

export interface CandidateCourse {
  readonly row: WhatIfRow;
  readonly course: Course;
}

export interface StormCourses {
  readonly from_s: number;
  readonly to_s: number;
  readonly courses: readonly CandidateCourse[];
}

const before_s = 6 * 3600;
const after_s = 12 * 3600;

/**
 * @param inflow of the whole record, in order of time
 * @param peak_s when the highest ten minutes were
 * @param known  what the record has taught of the installation that is there; null: nothing
 * @param cut_s  the mains are out for so long, at the moment that hurts each candidate most; 0: they are not
 * @returns null where the record does not hold the peak
 */
export function stormCourses(
  inflow: readonly InflowStretch[],
  peak_s: number,
  candidates: readonly Candidate[],
  known: KnownInstallation | null,
  cut_s: number,
): StormCourses | null {
  const storm = within(inflow, peak_s - before_s - cut_s, peak_s + after_s + cut_s);
  const [first, last] = [storm[0], storm.at(-1)];
  if (first === undefined || last === undefined) return null;
  return {
    from_s: first.from_s,
    to_s: last.to_s,
    courses: candidates.map((candidate) => courseOf(candidate, storm, known, cut_s)),
  };
}

function within(inflow: readonly InflowStretch[], from_s: number, to_s: number): InflowStretch[] {
  return inflow.flatMap((stretch) => {
    const clipped = { ...stretch, from_s: Math.max(from_s, stretch.from_s), to_s: Math.min(to_s, stretch.to_s) };
    return clipped.to_s > clipped.from_s ? [clipped] : [];
  });
}

function courseOf(
  { name, site }: Candidate,
  storm: readonly InflowStretch[],
  known: KnownInstallation | null,
  cut_s: number,
): CandidateCourse {
  const cuts = cut_s > 0 ? [{ lasts_s: cut_s, at_s: "worst" as const }] : [];
  const plan = { name, site, takesTurns: false, cuts, onBattery: batteryAsUsual, groundHead_m: null };
  const course: [number, number][] = [];
  const onPoint = (time_s: number, level_m: number) => {
    course.push([time_s, level_m]);
  };
  const row = whatIf(plan, joinInflow(storm).stretches, known, { onPoint, ranges: true });
  return { row, course };
}
