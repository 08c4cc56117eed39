// What comes in while the pump runs on.

import type { AnalyzerState } from "../analyzer-state.ts";
import { isBlocked } from "../cycles/by-signal/signal-and-pump.ts";
import type { FlowEstimate } from "../cycles/cycle.ts";
import { learnedBy } from "../cycles/tracker-state.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { capabilityAt } from "../pump-flow/pump-capability.ts";
import { levelNoise_m, steadyLevel_m } from "../readings/level-problem.ts";
import { levelTrend_ms } from "../readings/trend.ts";
import type { Site } from "../site.ts";

/** In a long run the rest before it tells little of what comes in now: the level against the pump tells more. */
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
  const capability = capabilityAt(learnedBy(tracker, tracker.pumps.set).capability, level_m);
  if (capability === null || isBlocked(state)) return null;
  const area_m2 = geometry.area_m2(level_m);
  return {
    ...capability,
    flow_m3s: Math.max(0, capability.flow_m3s + area_m2 * rate_ms),
    uFlow_m3s: Math.hypot(capability.uFlow_m3s, area_m2 * uRate_ms(levelNoise_m(screen), 60)),
  };
}

/** Of the trend between two medians of five levels so far apart. */
export function uRate_ms(noise_m: number, apart_s: number): number {
  return (0.54 * Math.SQRT2 * noise_m) / apart_s;
}
