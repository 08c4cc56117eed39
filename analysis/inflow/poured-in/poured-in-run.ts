// Water that is poured in at once as the pump starts, and starts it: the rest before shows some of it, and the level goes on
// rising in the run's first seconds though the pump takes water out.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { EndedRun, RestSummary } from "../../cycles/ended-run.ts";
import { longRun_s } from "../../cycles/run-lengths.ts";
import { type TrackerContext, uEdges_s } from "../../cycles/tracker-context.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import { closelyRead_s } from "../../readings/closely-read.ts";
import { highestOf } from "../over-time/volume-course.ts";

/** What rises by less, or is missing by less, is what a pump does not move while it comes up. Judgement, no source. */
const bucket_m3 = 2e-3;
/** The surface swells by less as a pump starts. Judgement, no source. */
const swell_m3 = bucket_m3 / 2;
/** A bucket is empty sooner; a pump that the water rises against for most of the run is overtaken. */
const longest_s = 15;
const mostOfRun = 0.6;
/** Standard deviations of a level sample. */
const clearly = 5;
const part_s = 5;

/**
 * Over equal parts of the run, up to the highest level what the water rose by and the pump moved, and then as after the run.
 *
 * @param during what the run's inflow would be without it
 * @param moves  what the pump moves; null: not known
 * @param isLate this pump comes up late each time
 * @param lag_s  a slow sensor goes on rising for so long after the water falls; 0: it is quick, or that is not known
 * @returns null where no water is missing in `during`
 */
export function pouredInRun(
  { cycle, before, course, stopVolume_m3 }: EndedRun,
  after: RestSummary | null,
  during: readonly FlowEstimate[] | null,
  moves: FlowEstimate | null,
  isLate: boolean,
  context: TrackerContext,
  lag_s: number,
): FlowEstimate[] | null {
  const { run_s } = cycle;
  const then = after?.first?.inflow ?? null;
  if (before?.endVolume_m3 == null || course === null || during === null || moves === null || then === null)
    return null;
  if (run_s > longRun_s || context.longInterval_s > closelyRead_s || context.inferred) return null;
  const { top_s: highest_s, top_m3 } = highestOf(course);
  // While as much pours in as the pump moves the level stands: it turns where the fall, carried back from the stop, meets its
  // top. So it does where the pump comes up late, as some do each time.
  const turns_s =
    stopVolume_m3 === null || isLate ? 0 : run_s - (top_m3 - stopVolume_m3) / (moves.flow_m3s - then.flow_m3s);
  const top_s = Math.max(highest_s, turns_s);
  // Foam that comes up late in a rest shows in the next one as a whole.
  const noise_m3 = clearly * Math.max(before.sampleSd_m3 ?? 0, after?.sampleSd_m3 ?? 0);
  const rise_m3 = top_m3 - before.endVolume_m3;
  // A pump that comes up late lets the water rise as before the run, and some swell.
  const unlikeRest_m3 = rise_m3 - (before.last?.inflow.flow_m3s ?? 0) * highest_s;
  if (!(unlikeRest_m3 > swell_m3 + noise_m3 && top_s > 0 && top_s < Math.min(longest_s, mostOfRun * run_s)))
    return null;
  // What the pump cannot have taken out again by its stop was no water: spikes in a row as it starts.
  const left_m3 = stopVolume_m3 ?? after?.startVolume_m3 ?? top_m3;
  const out_m3 = (moves.flow_m3s + 2 * moves.uFlow_m3s) * (run_s - highest_s + 2 * uEdges_s(context));
  if (top_m3 - left_m3 > out_m3 + noise_m3) return null;
  const poured_m3 = rise_m3 + moves.flow_m3s * Math.max(0, top_s - lag_s - lostInSpinUp_s);
  const volume_m3 = poured_m3 + then.flow_m3s * (run_s - top_s);
  const known_m3 = (run_s * during.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0)) / during.length;
  const uPoured_m3 = Math.hypot(moves.flow_m3s * (uEdges_s(context) + lostInSpinUp_s), moves.uFlow_m3s * top_s);
  if (!(volume_m3 - known_m3 > Math.max(bucket_m3, 2 * uPoured_m3) + noise_m3)) return null;
  const parts = Math.max(1, Math.round(run_s / part_s));
  const length_s = run_s / parts;
  return Array.from({ length: parts }, (_, i) => {
    const share = Math.min(1, Math.max(0, (top_s - i * length_s) / length_s));
    return {
      ...then,
      flow_m3s: (share * poured_m3) / top_s + (1 - share) * then.flow_m3s,
      uFlow_m3s: Math.hypot((share * uPoured_m3) / top_s, (1 - share) * then.uFlow_m3s),
    };
  });
}
