// What comes in while the pump runs on.

import type { AnalyzerState } from "../analyzer-state.ts";
import { isBlocked } from "../cycles/by-signal/signal-and-pump.ts";
import type { FlowEstimate } from "../cycles/cycle.ts";
import { learnedBy, type TrackerState } from "../cycles/tracker-state.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { capabilityAt } from "../pump-flow/pump-capability.ts";
import { levelNoise_m, steadyLevel_m } from "../readings/level-problem.ts";
import { levelTrend_ms } from "../readings/trend.ts";
import type { Site } from "../site.ts";

/**
 * In a long run the rest before it tells little of what comes in now: the level against the pump tells more.
 *
 * @returns null where nothing tells more; the least that it can be ("least") while two pumps run together for the first time
 */
export function inflowWhileRunning(
  { basin }: Site,
  geometry: BasinGeometry,
  state: AnalyzerState,
): FlowEstimate | null {
  const { tally, pumpSince_s, screen } = state;
  const level_m = steadyLevel_m(screen);
  const rate_ms = levelTrend_ms(state.trend);
  const runs = state.pumpRunning === true && pumpSince_s !== null && (tally.end_s ?? 0) - pumpSince_s > 60;
  if (!runs || level_m === null || rate_ms === null || level_m <= (basin.stopLevel_m ?? 0)) return null;
  const { tracker } = state;
  const { set } = tracker.pumps;
  const capability = capabilityAt(learnedBy(tracker, set).capability, level_m) ?? leastOfBoth(tracker, level_m);
  if (capability === null || isBlocked(state)) return null;
  const area_m2 = geometry.area_m2(level_m);
  const inflow: FlowEstimate = {
    ...capability,
    flow_m3s: Math.max(0, capability.flow_m3s + area_m2 * rate_ms),
    uFlow_m3s: Math.hypot(capability.uFlow_m3s, area_m2 * uRate_ms(levelNoise_m(screen), 60)),
  };
  // Both run because more comes in than before, where that is more than what is known of them tells.
  const before = inflow.unseenCourse === "least" ? tracker.lastInflow : null;
  return before !== null && before.flow_m3s > inflow.flow_m3s ? { ...before, unseenCourse: "least" } : inflow;
}

/** Together, where no run has shown it, they move no less than the stronger of the two does alone. */
function leastOfBoth({ pumps, capability, second }: TrackerState, level_m: number): FlowEstimate | null {
  if (pumps.set !== 3) return null;
  const [one, other] = [capabilityAt(capability, level_m), capabilityAt(second.capability, level_m)];
  const stronger = (other?.flow_m3s ?? 0) > (one?.flow_m3s ?? 0) ? other : one;
  return stronger && { ...stronger, unseenCourse: "least" };
}

/** Of the trend between two medians of five levels so far apart. */
export function uRate_ms(noise_m: number, apart_s: number): number {
  return (0.54 * Math.SQRT2 * noise_m) / apart_s;
}
