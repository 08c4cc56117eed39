// Water that is back before the next reading leaves no course: between the last reading of a run and the first of the rest
// the pump may have stopped at any moment, so one rest tells only within which bounds it lies. Many rests together do tell.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { EndedRun, RestSummary } from "../../cycles/ended-run.ts";
import type { TrackerContext } from "../../cycles/tracker-context.ts";
import { lateFrom_s } from "../../pump-flow/pump-history.ts";
import { closelyRead_s } from "../../readings/closely-read.ts";

/** Of a rest: no less than `from` and no more than `to` came back. */
export interface ReturnBounds {
  readonly from_m3: number;
  readonly to_m3: number;
}

export interface UnseenReturnState {
  /** Of the latest rests, oldest first. */
  readonly bounds: ReturnBounds[];
}

export function newUnseenReturn(): UnseenReturnState {
  return { bounds: [] };
}

const mostRests = 32;
const fewestRests = 4;
/** One rest in so many, or one at all, may be told wrongly, as by a tap that ran beside the run … */
const oneWrongIn = 8;
/** … but so many of the latest that all are do not fit into what was before: the valve has changed since. */
const changed = 2;
/** Known well enough to be told: to half a litre or so, or to this share. */
const wellKnown_m3 = 0.0006;
const wellKnownShare = 0.2;

export function noteUnseenReturn({ bounds }: UnseenReturnState, of: ReturnBounds): void {
  bounds.push(of);
  if (bounds.length > mostRests) bounds.shift();
}

/**
 * What comes back after a stop, m³, from the bounds that nearly all of the latest rests have in common; null while those are
 * wide. Rests that always stop at the same moment between two readings never narrow them.
 */
export function unseenReturn_m3({ bounds }: UnseenReturnState): number | null {
  for (let first = 0; first + fewestRests <= bounds.length; first += 1) {
    const latest = bounds.slice(first);
    const common = mostShared(latest);
    const fits = ({ from_m3, to_m3 }: ReturnBounds) => from_m3 <= common.from_m3 && to_m3 >= common.to_m3;
    const wrong = latest.filter((of) => !fits(of)).length;
    if (wrong > Math.max(1, latest.length / oneWrongIn) || !latest.slice(-changed).some(fits)) continue;
    const held = latest.filter(fits);
    if (held.length < fewestRests || common.to_m3 < 0) return null;
    // One that was told wrongly may fit all others, and narrows what they have in common all the same.
    const from_m3 = Math.max(0, held.map((of) => of.from_m3).sort((a, b) => b - a)[1] as number);
    const to_m3 = held.map((of) => of.to_m3).sort((a, b) => a - b)[1] as number;
    const middle_m3 = (from_m3 + to_m3) / 2;
    const half_m3 = to_m3 - middle_m3;
    return half_m3 <= Math.max(wellKnown_m3, wellKnownShare * middle_m3) ? middle_m3 : null;
  }
  return null;
}

/** What lies within the most of the bounds; from the first such place to the last, where there are several. */
function mostShared(bounds: readonly ReturnBounds[]): ReturnBounds {
  const shared = bounds.map(({ from_m3 }) => bounds.filter((of) => of.from_m3 <= from_m3 && of.to_m3 >= from_m3));
  const most = Math.max(...shared.map(({ length }) => length));
  const places = shared.filter(({ length }) => length === most);
  return {
    from_m3: Math.min(...places.map((within) => Math.max(...within.map(({ from_m3 }) => from_m3)))),
    to_m3: Math.max(...places.map((within) => Math.min(...within.map(({ to_m3 }) => to_m3)))),
  };
}

/** Shorter rests do not show where the water stood at their beginning. */
const longEnough_s = 60;
/** Closer readings see it come. */
export const closely_s = 2.5;
/** The rests on either side show inflows that differ by no more than this share. */
const muchAlike = 0.25;
/** The bounds hold but for so many standard deviations of a level. */
const surely = 2;

/** Whether the pump may have moved so much between two readings that none sees what came back after a stop. */
export function mayGoUnseen(
  pumpRate: FlowEstimate | null,
  { interval_s, inferred, longInterval_s }: TrackerContext,
): boolean {
  const spread_m3 = ((pumpRate?.flow_m3s ?? 0) * interval_s) / 2;
  return !inferred && interval_s > closely_s && longInterval_s <= closelyRead_s && spread_m3 > wellKnown_m3;
}

/** Between the volume at the last reading of the run, and that which a run up to the next would have left. */
export function boundsOfReturn(
  { cycle, before, stopVolume_m3, lateStart_s, stopsWithin_s }: EndedRun,
  after: RestSummary | null,
  { interval_s }: TrackerContext,
): ReturnBounds | null {
  if (stopVolume_m3 === null || after?.startVolume_m3 == null || after.rest_s === null) return null;
  if (cycle.pumpRate === null || after.first === null || after.rest_s < longEnough_s) return null;
  // A run that came up late is bent more sharply than any fit: its end is not known well enough.
  if ((lateStart_s ?? 0) >= lateFrom_s) return null;
  if (!restsAlike(before, after)) return null;
  const half_s = (stopsWithin_s ?? interval_s) / 2;
  const cameIn_m3 = after.first.inflow.flow_m3s * half_s;
  const middle_m3 = after.startVolume_m3 - stopVolume_m3 - cameIn_m3;
  const half_m3 = cycle.pumpRate.flow_m3s * half_s + surely * (after.sampleSd_m3 ?? 0);
  return { from_m3: middle_m3 - half_m3, to_m3: middle_m3 + half_m3 };
}

/** What pours in beside a run is no return: only where the rests on either side show as much inflow does a step tell. */
export function restsAlike(before: RestSummary | null, after: RestSummary | null): boolean {
  const [earlier, later] = [before?.inflow?.flow_m3s ?? Number.NaN, after?.inflow?.flow_m3s ?? Number.NaN];
  return Math.abs(later - earlier) < muchAlike * Math.max(earlier, later);
}
