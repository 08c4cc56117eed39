// What stands under the ticks of the time axis. Pure.

import type { SiteTime } from "../site-time.ts";

/**
 * @param splits Unix seconds of the ticks
 * @param step_s distance between two of them
 */
export function timeTicks(splits: readonly number[], step_s: number, time: SiteTime): string[] {
  return splits.map((time_s) => {
    if (step_s >= 86_400) return time.shortDay(time_s);
    if (step_s < 60) return time.clock(time_s);
    const clock = time.clockToMinute(time_s);
    return clock.startsWith("00:00") ? time.shortDay(time_s) : clock;
  });
}
