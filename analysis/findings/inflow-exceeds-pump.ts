// The pump runs and the water still rises: more comes in than it moves.

import type { Evidence } from "./finding.ts";
import { isClearlyDown } from "./float-stuck-on.ts";
import { higher_m } from "./high-water.ts";
import type { Rule, View } from "./rule.ts";
import { minuteNeeds_s } from "./run-watch.ts";
import { isUnderUpper, standsBy } from "./two-pumps.ts";

export const leastRise_m = 0.004;
/** Where readings are far apart whole runs lie between them, and make no noise. */
const mostNoise_m = 0.03;
/** A storm that the pump just holds goes up and down by turns: one event while the water does not fall. */
const stillRise_m = 0;
/** So much faster than before, as a share of what the pump moves, is more inflow. */
const moreInflow = 0.03;

export const inflowExceedsPump: Rule = {
  kind: "inflow-exceeds-pump",
  severity: "critical",
  onDelay_s: 5,
  // A pump that gains on it for a minute or two has not won yet.
  offDelay_s: 300,
  notWhileCalm: true,
  holds: (view, open) => {
    if (view.pumpRunning === null) return null;
    // Water that goes over the rim rises no more, and more comes in all the same.
    if (open !== null && view.overRim && (view.pumpRunning || view.riseOverFloats_m !== null)) return true;
    const least_m = open === null ? Math.max(leastRise_m, 4 * Math.min(mostNoise_m, view.levelNoise_m)) : stillRise_m;
    return (rise(view) ?? 0) > least_m || (longRise(view) ?? 0) > least_m;
  },
  evidence: (view) => ({
    level_m: view.level_m,
    highest_level_m: view.level_m,
    rise_in_a_minute_m: rise(view),
    rise_in_ten_minutes_m: longRise(view),
    pump_running_s: view.pumpInferred ? null : view.pumpStateFor_s,
    pump_rate_m3s: view.pumpRate?.flow_m3s ?? null,
  }),
  // When it is over, what it came to is of more use than how it began.
  worsen: (evidence, view) => {
    if (view.level_m === null || view.level_m < Number(evidence.highest_level_m) + higher_m) return null;
    return {
      ...evidence,
      highest_level_m: view.level_m,
      rise_in_a_minute_m: larger(evidence.rise_in_a_minute_m, rise(view)),
      rise_in_ten_minutes_m: larger(evidence.rise_in_ten_minutes_m, longRise(view)),
    };
  },
  message: ({ pumps }) =>
    pumps?.set === 3
      ? "Both pumps run and the water still rises. See whether water leaves the discharge; if it does, more comes in than both move. If hardly any leaves, what they share is blocked, or a pump has failed."
      : "The pump runs and the water still rises. See whether water leaves the discharge; if it does, more comes in than the pump moves: add a second pump. If none leaves, the discharge is blocked or the pump has failed.",
};

function larger(before: Evidence[string] | undefined, now: number | null): number | null {
  const known = [before, now].filter((each) => typeof each === "number");
  return known.length === 0 ? null : Math.max(...known);
}

/**
 * By the level alone a pump that is overwhelmed looks like one that stands: only well over the start level, when much
 * has been coming in, does a rise say that it runs in vain.
 */
function rise(view: View): number | null {
  const { pumpRunning, pumpInferred, levelTosses, riseWhileRunning_m, riseOverStart_m } = view;
  // What the first of two cannot hold is what the second is there for.
  if (pumpInferred) return isOvercome(view) && !levelTosses && !isUnderUpper(view) ? riseOverStart_m : null;
  return pumpRunning === true && !isNoRun(view) && !standsBy(view) && !isClearlyDown(view) ? riseWhileRunning_m : null;
}

function isOvercome({ overStart, littleInflow }: View): boolean {
  return overStart === "runs" || (overStart === null && !littleInflow);
}

/** What a storm brings little more of than the pump moves rises by less in a minute than the noise. */
function longRise(view: View): number | null {
  if (view.pumpInferred)
    return view.levelTosses || view.overStart === "stands" || isUnderUpper(view) ? null : view.riseOverFloats_m;
  // Under the stop level a pump draws air: what rises there is the sensor, or soon over that level.
  const told = view.pumpRunning === true && !isNoRun(view) && !standsBy(view) && !isClearlyDown(view);
  return told && !falls(view) ? view.riseInLongRun_m : null;
}

/** Water that is over where it was some minutes ago and sinks all the same has risen in a rest that no reading showed. */
function falls({ riseWhileRunning_m, levelNoise_m }: View): boolean {
  return riseWhileRunning_m !== null && riseWhileRunning_m < -4 * levelNoise_m;
}

/** A signal that says 'runs' from half-way on, while the water rises no faster than at rest, is not the pump's. */
function isNoRun({ startedLow, littleInflow, dischargeNow_m3s, pumpRate, readEvery_s }: View): boolean {
  // How a run began is seen only where readings are close; what is told of others is told far over the start level.
  if (readEvery_s > minuteNeeds_s) return false;
  if (!startedLow || !littleInflow || dischargeNow_m3s === null || pumpRate === null) return false;
  return dischargeNow_m3s > -moreInflow * pumpRate.flow_m3s;
}
