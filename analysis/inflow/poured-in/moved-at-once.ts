// What a level that moved at once in a rest shows: water poured in or scooped out, or a sensor that leapt, was hung in the
// water, or had stood still and woke. The float knows, and how the level goes on.

import { type TrackerContext, uEdges_s } from "../../cycles/tracker-context.ts";
import type { TrackerState } from "../../cycles/tracker-state.ts";
import { aboutStop_m, farUnder_m } from "../../readings/out-of-water.ts";
import { usualTrips } from "../../readings/trip-levels.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianOfThree } from "../../statistics/median.ts";
import { partOfSamples } from "../../statistics/part-of-samples.ts";
import type { RestFit } from "../rest/fit-rest.ts";
import { type LikelyLeap, leapOrWater, withDoubtfulPour } from "./leap-or-water.ts";
import { type Pour, withPour } from "./poured-in.ts";

export interface Fitted {
  readonly fit: RestFit | undefined;
  readonly poured: boolean;
  /** The level fell at once; absent: it did not. */
  readonly fell?: boolean;
  readonly leap: LikelyLeap | null;
}

export const nothingFitted: Fitted = { fit: undefined, poured: false, leap: null };

/** Floats close no better than this; common practice, no source. */
const leastScatter_m = 0.002;

/**
 * The level rose at once, from far under where any pump leaves the water to where it stands between runs, before anything
 * was seen of them: the sensor lay on the bench, and was hung in the water. What it said before is no level.
 */
export function sinceHung(
  samples: CurveSamples,
  { to_s, volume_m3 }: Pour,
  { phaseFrom_s }: TrackerState,
  { basin, geometry }: TrackerContext,
): CurveSamples | null {
  if (phaseFrom_s !== null || basin.stopLevel_m === null) return null;
  const { t, y, count } = samples;
  const from = t.subarray(0, count).findIndex((t_s) => t_s >= to_s);
  const before_m = geometry.level_m(y[from - 1] ?? Number.NaN);
  const after_m = geometry.level_m((y[from] ?? Number.NaN) + volume_m3);
  if (!(before_m < basin.stopLevel_m - farUnder_m && after_m > basin.stopLevel_m - aboutStop_m)) return null;
  for (let i = from; i < count; i += 1) y[i] = (y[i] as number) + volume_m3;
  return partOfSamples(samples, from);
}

/** Of what came in before, and comes in after the level moved at once: less than this stands still, more goes on. */
const stillShare = 0.1;
const goesOnShare = 0.5;
/** So long the water is to be seen to go on. */
const seenGoingOn_s = 60;
const fewestAside = 6;

/**
 * The level stood where it was for so long that far more would have come in than what it then moved by at once: if it
 * rises from then on as it did before, it was the sensor that stood still, and nobody knows how much came in meanwhile.
 *
 * @returns null where it is not seen for long enough how the level goes on
 */
export function wokeUp(
  { t, y, count }: CurveSamples,
  { from_s, to_s, volume_m3 }: Pour,
  usual_m3s: number,
): boolean | null {
  const from = t.subarray(0, count).findIndex((t_s) => t_s >= from_s);
  const to = t.subarray(0, count).findIndex((t_s) => t_s >= to_s);
  const rise_m3 = (a: number, b: number) => medianOfThreeAt(y, b - 2) - medianOfThreeAt(y, a);
  const meanwhile_m3 = usual_m3s * (from_s - (t[0] as number));
  if (from < fewestAside || meanwhile_m3 < Math.abs(volume_m3) || rise_m3(0, from) > stillShare * meanwhile_m3)
    return false;
  const after_s = (t[count - 1] as number) - to_s;
  if (count - to < fewestAside || after_s < seenGoingOn_s) return null;
  return rise_m3(to, count - 1) > goesOnShare * usual_m3s * after_s;
}

function medianOfThreeAt(y: Float64Array, at: number): number {
  return medianOfThree(y[at] as number, y[at + 1] as number, y[at + 2] as number);
}

/** A fall that the float shows to be the sensor's takes a leap of its size back; water scooped out takes none back. */
export function undoLeap(fit: RestFit, { volume_m3 }: Pour, state: TrackerState, context: TrackerContext): void {
  const closedAt_m3 = state.before?.endVolume_m3 ?? null;
  const uTrip_m3 = uTripMoves_m3(state, context);
  if (uTrip_m3 === null || closedAt_m3 === null || fit.endVolume_m3 === null) return;
  const verdict = leapOrWater(-volume_m3, closedAt_m3 - fit.endVolume_m3, uTrip_m3);
  if (verdict === "leap") context.output.leapt(-volume_m3);
}

/** How well it is known by how much the float has closed elsewhere than the time before; null until that is learned. */
function uTripMoves_m3({ before, trips, pumps }: TrackerState, context: TrackerContext): number | null {
  const usual = pumps.origin === null ? usualTrips(trips) : null;
  if (usual === null) return null;
  const scatter_m3 = Math.max(usual.scatterStart_m, leastScatter_m) * context.geometry.area_m2(usual.start_m);
  const rises_m3s = before?.last?.inflow.flow_m3s ?? 0;
  return Math.SQRT2 * Math.hypot(scatter_m3, rises_m3s * uEdges_s(context));
}

/**
 * The float that closed at the end of the rest says whether it was water; a leap must show when it opens, too.
 *
 * @param endsSeen the rest ended with a start that tells
 */
export function withSudden(
  fit: RestFit,
  sudden: Pour,
  state: TrackerState,
  context: TrackerContext,
  endsSeen: boolean,
): Fitted {
  const { volume_m3 } = sudden;
  const closedAt_m3 = state.before?.endVolume_m3 ?? null;
  const uTrip_m3 = uTripMoves_m3(state, context);
  const doubted = { fit: withDoubtfulPour(fit, sudden), poured: true, leap: null };
  if (!endsSeen || uTrip_m3 === null || closedAt_m3 === null || fit.endVolume_m3 === null) return doubted;
  const verdict = leapOrWater(volume_m3, fit.endVolume_m3 + volume_m3 - closedAt_m3, uTrip_m3);
  if (verdict === "water") return { fit: withPour(fit, sudden), poured: true, leap: null };
  return verdict === null ? doubted : { ...doubted, leap: { volume_m3, inflow: fit.inflow, uTrip_m3 } };
}
