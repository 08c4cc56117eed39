// What the pump moves has gone down over many cycles: worn or clogged by and by, or held back at once by a little and
// steadily since. A loss of a quarter or more at once is the discharge's: discharge-blocked.

import { hasLost, type SlowChange, stillLost } from "../pump-flow/pump-change.ts";
import type { Evidence } from "./finding.ts";
import { lossAdvice, lossCause } from "./loss-cause.ts";
import type { Rule, View } from "./rule.ts";
import { whichPump } from "./two-pumps.ts";

export const clearlyLess = 0.08;
export const stillLess = 0.05;
/** The swing explains a loss of flow when it has shrunk by more than this share of it. */
export const ofTheLoss = 0.5;
export const latestSwings = 7;

export const pumpWorn: Rule = {
  kind: "pump-worn",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 0,
  notWhileCalm: true,
  onlyOnNews: true,
  holds: ({ slowChange, trips }, open) => {
    if (slowChange === null) return null;
    if (open === null)
      return slowChange.overRuns > 0 && hasLost(slowChange, clearlyLess) && !isTheSensor(slowChange, trips);
    return isTheSensor(slowChange, trips) ? null : stillLost(slowChange, stillLess);
  },
  evidence: (view) => ({
    course: view.slowChange?.course ?? "slow",
    cause: causeOf(view),
    pump_rate_before_m3s: view.slowChange?.before.flow_m3s ?? null,
    pump_rate_now_m3s: view.slowChange?.now.flow_m3s ?? null,
    over_runs: view.slowChange?.overRuns ?? null,
    ...whichPump(view.pumps?.slowOf),
  }),
  worsen: (evidence, view) => {
    const { slowChange } = view;
    if (slowChange === null) return null;
    const worse = slowChange.now.flow_m3s < 0.98 * Number(evidence.pump_rate_now_m3s);
    return worse || showsOtherCourse(slowChange, evidence) ? pumpWorn.evidence(view) : null;
  },
  message: (_, { cause }) => lossAdvice(cause),
};

/** What has only just begun may be taken for a step; twice as many runs tell better. */
function showsOtherCourse({ course, overRuns }: SlowChange, evidence: Evidence): boolean {
  return course !== null && course !== evidence.course && overRuns >= 2 * Number(evidence.over_runs);
}

/** A level sensor whose span goes off makes the rate less by as much as the float's swing. */
function isTheSensor(slowChange: SlowChange, trips: View["trips"]): boolean {
  return trips.drift?.problem === "span-drift" || swingLoss(trips) > ofTheLoss * lossOf(slowChange);
}

function lossOf({ before, now }: SlowChange): number {
  return 1 - now.flow_m3s / before.flow_m3s;
}

/** By how much the distance between the float's trips, as read over the latest cycles, has shrunk. */
function swingLoss({ start_m, stop_m, recent }: View["trips"]): number {
  if (Number.isNaN(start_m) || recent.length < latestSwings) return 0;
  const swings_m = recent.slice(-latestSwings).map((trips) => trips.start_m - trips.stop_m);
  const middle_m = swings_m.sort((a, b) => a - b)[latestSwings >> 1] ?? Number.NaN;
  return 1 - middle_m / (start_m - stop_m);
}

function causeOf({ slowChange, startsLate, temperature_c }: View) {
  const course = slowChange?.course ?? "slow";
  const share = slowChange === null ? 1 : slowChange.now.flow_m3s / slowChange.before.flow_m3s;
  return lossCause({ course, share, spread: 0, startsLate, temperature_c });
}
