// The pump does not stop although the water is down at the stop level: it will run dry and overheat.

import type { Rule, View } from "./rule.ts";
import { lowestStop_m } from "./two-pumps.ts";

/** Trip levels scatter by less; common practice, no source. */
export const floatScatter_m = 0.005;
export const dwell_s = 90;
export const coarseDwell_s = 300;
/** Over the stop level by this much the running pump has water again. */
export const wetAgain_m = 0.01;

export const floatStuckOn: Rule = {
  kind: "float-stuck-on",
  severity: "critical",
  onDelay_s: 30,
  offDelay_s: 30,
  notWhileCalm: true,
  holds: (view, open) => {
    const { level_m, pumpRunning, pumpInferred, atStopFor_s, closelyRead, site } = view;
    const stopLevel_m = lowestStop_m(site);
    if (level_m === null || stopLevel_m === null || pumpRunning === null) return null;
    // By the level alone a run that has just ended looks like one that goes on.
    if (pumpInferred) return null;
    if (open !== null) return pumpRunning && level_m < stopLevel_m + wetAgain_m;
    // A pump that just holds a storm may be slow over the last millimetres, but not so slow.
    return pumpRunning && (isClearlyDown(view) || atStopFor_s >= (closelyRead ? dwell_s : coarseDwell_s));
  },
  evidence: ({ level_m, site, pumpStateFor_s }) => ({
    level_m,
    stop_level_m: site.basin.stopLevel_m,
    pump_running_s: pumpStateFor_s,
  }),
  message: () =>
    "The pump runs on although the water is down. Switch it off at its plug before it overheats, free or replace the float, and switch it on again; watch the level while it is off.",
};

/** Whether the water stands where no float should let the pump run: soon it draws air, and moves no more than comes in. */
export function isClearlyDown({ level_m, site, levelNoise_m }: View): boolean {
  const stopLevel_m = lowestStop_m(site);
  if (level_m === null || stopLevel_m === null) return false;
  return level_m < stopLevel_m - Math.max(floatScatter_m, 3 * levelNoise_m);
}
