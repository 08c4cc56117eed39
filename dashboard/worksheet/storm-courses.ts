// The worst storm of the record run again, as the basin would have gone through it: as it stands, and as it is on the
// sheet. Pure; the replay itself is in analysis/whatif.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Course } from "../../analysis/paper/level-chart.ts";
import type { Site } from "../../analysis/site.ts";
import { buildInstallation } from "../../analysis/whatif/build-installation.ts";
import { joinInflow } from "../../analysis/whatif/join-inflow.ts";
import type { ReplayOutcome } from "../../analysis/whatif/outcome.ts";
import { batteryAsUsual } from "../../analysis/whatif/plan.ts";
import { replayInflow } from "../../analysis/whatif/replay.ts";

export interface Candidate {
  readonly name: string;
  readonly site: Site;
}

export type CandidateCourse =
  | { readonly name: string; readonly course: Course; readonly outcome: ReplayOutcome; readonly missing: null }
  | { readonly name: string; readonly course: null; readonly outcome: null; readonly missing: readonly string[] };

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
 * @param cut_s  the mains are out for so long around the peak; 0: they are not
 * @returns null where the record does not hold the peak
 */
export function stormCourses(
  inflow: readonly InflowStretch[],
  peak_s: number,
  candidates: readonly Candidate[],
  cut_s: number,
): StormCourses | null {
  const [from_s, to_s] = [peak_s - before_s - cut_s / 2, peak_s + after_s + cut_s / 2];
  const storm = within(inflow, from_s, to_s);
  const [first, last] = [storm[0], storm.at(-1)];
  if (first === undefined || last === undefined) return null;
  const powerCuts = cut_s > 0 ? [{ from_s: peak_s - cut_s / 2, to_s: peak_s + cut_s / 2 }] : [];
  return {
    from_s: first.from_s,
    to_s: last.to_s,
    courses: candidates.map((candidate) => courseOf(candidate, storm, powerCuts)),
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
  powerCuts: readonly { readonly from_s: number; readonly to_s: number }[],
): CandidateCourse {
  const plan = { name, site, takesTurns: false, cuts: [], onBattery: batteryAsUsual, groundHead_m: null };
  const built = buildInstallation(plan, null);
  if (!built.ok) return { name, course: null, outcome: null, missing: built.missing };
  const course: [number, number][] = [];
  const onPoint = (time_s: number, level_m: number) => {
    course.push([time_s, level_m]);
  };
  const outcome = replayInflow(joinInflow(storm).stretches, built.installation, { powerCuts, onPoint });
  return { name, course, outcome, missing: null };
}
