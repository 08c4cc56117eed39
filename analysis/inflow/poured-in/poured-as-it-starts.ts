// Water that is poured in at once and starts the pump, where readings are so far apart that none shows it rise: the float
// closed though the last of them stood clearly under where it does, and the run shows more water than was there.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { EndedRun, RestSummary } from "../../cycles/ended-run.ts";
import { longRun_s } from "../../cycles/run-lengths.ts";
import type { TrackerContext } from "../../cycles/tracker-context.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import { closelyRead_s, hidesAtOnce_s } from "../../readings/closely-read.ts";
import { medianInPlace } from "../../statistics/median.ts";
import type { VolumeCourse } from "../over-time/volume-course.ts";

/** Where the float closes, as the latest runs have shown it. */
export interface UsualStart {
  readonly volume_m3: number;
  readonly uVolume_m3: number;
}

/** So many standard uncertainties under where the float closes it does not by chance, in thousands of runs. */
const clearly = 5;
/** The end of a curve through a rest is no better known than to this. Judgement, no source. */
const littleUnder_m3 = 1e-3;
/** Less is no bucket. Judgement, no source. */
const bucket_m3 = 2e-3;
/** Readings after the first by which a run's fall is carried back to its beginning: of one alone nobody knows if it is sound. */
const fewestFalling = 2;
const part_s = 5;

/**
 * Over equal parts of the run: as after it, and in the first of them what was poured in. How much that was is known only as
 * well as when, within the interval before the first reading, the pump started.
 *
 * @param moves what the pump moves
 * @param usualStart null until it is seen; asked for last, of few runs
 * @param lag_s by how much a slow sensor stands over a level that falls, in seconds of the fall
 * @returns null where the float closed where it usually does, or lower without more water
 */
export function pouredAsItStarts(
  { cycle, before, course }: EndedRun,
  after: RestSummary | null,
  moves: FlowEstimate | null,
  usualStart: () => UsualStart | null,
  { interval_s, longInterval_s, inferred }: TrackerContext,
  lag_s: number,
): FlowEstimate[] | null {
  const { run_s } = cycle;
  const then = after?.first?.inflow ?? null;
  if (before?.endVolume_m3 == null || course === null || moves === null || then === null || inferred) return null;
  if (run_s > longRun_s || interval_s < hidesAtOnce_s || longInterval_s > closelyRead_s || before.fell) return null;
  const usual = usualStart();
  if (usual === null) return null;
  const rises_m3s = before.last?.inflow.flow_m3s ?? 0;
  const under_m3 = usual.volume_m3 + (rises_m3s * interval_s) / 2 - before.endVolume_m3;
  if (!(under_m3 > Math.max(littleUnder_m3, clearly * Math.hypot(usual.uVolume_m3, before.sampleSd_m3 ?? 0))))
    return null;
  const atStart_m3 = carriedBack_m3(course, moves.flow_m3s - then.flow_m3s);
  if (atStart_m3 === null) return null;
  // A pump that started right at the first reading has taken nothing out before it, and one that started an interval before
  // it all that it moves in that time: anything between is as likely (uniform: GUM 4.3.7).
  const least_m3 = atStart_m3 - before.endVolume_m3 - moves.flow_m3s * (lostInSpinUp_s + lag_s);
  const most_m3 = least_m3 + moves.flow_m3s * interval_s;
  // Up to where the float closes it was water that lifted it; without so much it was not.
  const lifted_m3 = Math.max(least_m3, under_m3);
  const poured_m3 = (lifted_m3 + most_m3) / 2;
  if (!(most_m3 > lifted_m3 && poured_m3 > bucket_m3)) return null;
  // A float that closed lower by itself would explain it as well, unless no time of the start does.
  const uPoured_m3 = Math.hypot((most_m3 - lifted_m3) / Math.sqrt(12), least_m3 > under_m3 ? 0 : poured_m3 / 2);
  const parts = Math.max(1, Math.round(run_s / part_s));
  const length_s = run_s / parts;
  const first = {
    ...then,
    flow_m3s: then.flow_m3s + poured_m3 / length_s,
    uFlow_m3s: Math.hypot(then.uFlow_m3s, uPoured_m3 / length_s),
  };
  return Array.from({ length: parts }, (_, i) => (i === 0 ? first : then));
}

/** Where the fall meets the beginning of the run, by the middle of what its readings say; null with too few. */
function carriedBack_m3({ t, y, count }: VolumeCourse, falls_m3s: number): number | null {
  if (count - 1 < fewestFalling) return null;
  return medianInPlace(Float64Array.from({ length: count - 1 }, (_, i) => at(y, i + 1) + falls_m3s * at(t, i + 1)));
}

function at(values: ArrayLike<number>, i: number): number {
  return values[i] ?? Number.NaN;
}
