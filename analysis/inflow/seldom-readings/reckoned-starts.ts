// How often the pump starts where whole runs fall between readings: by the inflow that was followed there, since the volume
// between the floats fills by the inflow and empties by what the pump moves beyond it.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";

/** Starts of a stretch of time, and their standard uncertainty. */
export interface StartsOfStretch {
  readonly from_s: number;
  readonly to_s: number;
  readonly starts: number;
  readonly uStarts: number;
  /** How long the pump would take from start to stop with nothing coming in. */
  readonly emptiesIn_s: number;
}

export interface ReckonedStarts {
  readonly starts: number;
  /** So many for sure: two standard uncertainties below. */
  readonly atLeast: number;
  readonly emptiesIn_s: number;
}

const hour_s = 3600;
/** Of the volume between the floats, as a share: by their scatter and by levels set some millimetres off; judgement. */
const uActive = 0.03;
/** An hour holds one start more or less by where it begins and ends: two rectangles of a start (GUM 4.3.7). */
const uEnds = Math.sqrt(2 / 12);
/** What lies so many standard uncertainties away is so for sure (JCGM 100:2008, 6.2.1). */
export const coverageFactor = 2;

/**
 * Of a rest V / q and a run V / (p − q), a start each; first-order propagation of uncertainty (JCGM 100:2008, 5.1.2), and
 * of the second order what matters where half of the pump's flow comes in.
 *
 * @param flows_m3s inflow from one reading to the next, `steps_s` later
 * @param inflow    their mean, with its uncertainty
 * @param pump      what it moves
 */
export function startsOfStretch(
  from_s: number,
  flows_m3s: readonly number[],
  steps_s: readonly number[],
  inflow: FlowEstimate,
  pump: FlowEstimate,
  active_m3: number,
): StartsOfStretch {
  const length_s = steps_s.reduce((sum, step_s) => sum + step_s, 0);
  const starts = flows_m3s.reduce((sum, q, i) => sum + perSecond(q, pump.flow_m3s, active_m3) * (steps_s[i] ?? 0), 0);
  const share = Math.min(1, inflow.flow_m3s / pump.flow_m3s);
  const byInflow = (Math.abs(1 - 2 * share) * inflow.uFlow_m3s + inflow.uFlow_m3s ** 2 / pump.flow_m3s) / active_m3;
  const byPump = (share * share * pump.uFlow_m3s) / active_m3;
  return {
    from_s,
    to_s: from_s + length_s,
    starts,
    uStarts: Math.hypot(byInflow * length_s, byPump * length_s, uActive * starts),
    emptiesIn_s: active_m3 / pump.flow_m3s,
  };
}

/** Starts that come with one inflow; what the pump loses while it comes up to speed is to be lifted too. */
function perSecond(inflow_m3s: number, pump_m3s: number, active_m3: number): number {
  if (!(inflow_m3s > 0 && inflow_m3s < pump_m3s)) return 0;
  return 1 / (active_m3 / inflow_m3s + (active_m3 + lostInSpinUp_s * pump_m3s) / (pump_m3s - inflow_m3s));
}

/** Starts as seen or, where more took place between readings for sure, as reckoned; then what tells of them is told too. */
export function knownStarts(
  seen: number,
  reckoned: ReckonedStarts | null,
): { readonly starts: number; readonly byInflow: ReckonedStarts | null } {
  if (reckoned === null || !(reckoned.atLeast > seen)) return { starts: seen, byInflow: null };
  return { starts: Math.round(reckoned.starts), byInflow: reckoned };
}

/** Leaves out what no last hour will ask for again, and adds the newest. */
export function noteReckoned(stretches: readonly StartsOfStretch[], newest: StartsOfStretch): StartsOfStretch[] {
  return [...stretches.filter(({ to_s }) => to_s > newest.to_s - hour_s && to_s <= newest.from_s), newest];
}

/**
 * Starts in the hour up to `time_s`: reckoned where cycles were followed, else as counted. The stretches have their errors in
 * common.
 *
 * @param startTimes_s starts that were seen
 * @returns null where no cycles were followed in that hour
 */
export function reckonedStarts(
  stretches: readonly StartsOfStretch[],
  startTimes_s: readonly number[],
  time_s: number,
): ReckonedStarts | null {
  if (stretches.length === 0) return null;
  const since_s = time_s - hour_s;
  let [starts, uStarts, emptiesIn_s] = [0, 0, 0];
  const followed = stretches.filter(({ from_s, to_s }) => to_s > since_s && from_s < time_s);
  if (followed.length === 0) return null;
  for (const stretch of followed) {
    const part = Math.min(1, (stretch.to_s - since_s) / (stretch.to_s - stretch.from_s));
    starts += part * stretch.starts;
    uStarts += part * stretch.uStarts;
    emptiesIn_s = stretch.emptiesIn_s;
  }
  for (const at_s of startTimes_s) {
    const isFollowed = followed.some(({ from_s, to_s }) => at_s > from_s && at_s <= to_s);
    if (at_s > since_s && at_s <= time_s && !isFollowed) starts += 1;
  }
  return { starts, atLeast: starts - coverageFactor * Math.hypot(uStarts, uEnds), emptiesIn_s };
}
