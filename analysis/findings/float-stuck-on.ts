// The pump does not stop although the water is down at the stop level: it will run dry and overheat.

import type { Cycle } from "../cycles/cycle.ts";
import type { Site } from "../site.ts";
import { medianInPlace } from "../statistics/median.ts";
import { wetAgain_m } from "./at-stop.ts";
import type { Finding } from "./finding.ts";
import { offBy_m } from "./float-stuck-off.ts";
import type { Rule, View } from "./rule.ts";
import { lowestStop_m } from "./two-pumps.ts";

/** Trip levels scatter by less; common practice, no source. */
export const floatScatter_m = 0.005;
export const dwell_s = 90;
export const coarseDwell_s = 300;
/**
 * For so many times as long as it took over the last `wetAgain_m` water may stand at the stop level that a pump hardly gains
 * on: it would have sunk by three centimetres at that pace, far more than floats scatter by. Common practice, no source.
 */
export const slowApproach = 3;
/** Fewer runs do not show where they stop. */
export const fewestRuns = 3;

export const floatStuckOn: Rule = {
  kind: "float-stuck-on",
  severity: "critical",
  onDelay_s: 30,
  offDelay_s: 30,
  notWhileCalm: true,
  holds: (view, open) => {
    const { level_m, pumpRunning, pumpInferred, stopsAt_m } = view;
    if (level_m === null || stopsAt_m === null || pumpRunning === null) return null;
    // By the level alone a run that has just ended looks like one that goes on.
    if (pumpInferred) return null;
    if (open !== null) return pumpRunning && level_m < stopsAt_m + wetAgain_m;
    // A spike that the sensor holds is no level, however often it is said.
    if (view.levelIsOld) return null;
    return pumpRunning && (isClearlyDown(view) || standsAtStop(view));
  },
  evidence: ({ level_m, stopsAt_m, pumpStateFor_s }) => ({
    level_m,
    stop_level_m: stopsAt_m,
    pump_running_s: pumpStateFor_s,
  }),
  message: () =>
    "The pump runs on although the water is down. Switch it off at its plug before it overheats, free or replace the float, and switch it on again; watch the level while it is off.",
};

/** Whether the water stands at the stop level for longer than one that a pump hardly gains on takes to sink past it. */
function standsAtStop({ atStopFor_s, cameToStopIn_s, closelyRead }: View): boolean {
  return atStopFor_s >= Math.max(closelyRead ? dwell_s : coarseDwell_s, slowApproach * cameToStopIn_s);
}

/** Whether the water stands where no float should let the pump run: soon it draws air, and moves no more than comes in. */
export function isClearlyDown({ level_m, stopsAt_m, levelNoise_m }: View): boolean {
  if (level_m === null || stopsAt_m === null) return false;
  return level_m < stopsAt_m - Math.max(floatScatter_m, 3 * levelNoise_m);
}

/**
 * Where the float stops the pump: as the site says, or lower by the reading where most of the latest runs stopped lower, by
 * no more than a zero may be off.
 *
 * @param runs the latest
 * @param told of floats that held a pump on: where those runs stopped is no float's doing
 * @returns null where no stop level is stated
 */
export function usualStop_m(site: Site, runs: readonly Stop[], told: readonly Finding[]): number | null {
  const stated_m = lowestStop_m(site);
  const wasHeldOn = ({ startedAt_s, stoppedAt_s }: Stop) =>
    told.some(
      ({ kind, from_s, to_s }) =>
        kind === "float-stuck-on" && from_s < stoppedAt_s && !(to_s !== null && to_s <= startedAt_s),
    );
  const stops_m = runs.flatMap((run) => (run.stopLevel_m === null || wasHeldOn(run) ? [] : [run.stopLevel_m]));
  if (stated_m === null || stops_m.length < fewestRuns) return stated_m;
  const middle_m = medianInPlace(stops_m);
  return middle_m < stated_m - offBy_m ? stated_m : Math.min(stated_m, middle_m);
}

type Stop = Pick<Cycle, "startedAt_s" | "stoppedAt_s" | "stopLevel_m">;
