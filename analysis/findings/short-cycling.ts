// The pump starts too often, or its runs are too short: both wear motor and switch.

import type { Cycle } from "../cycles/cycle.ts";
import type { Rule, View } from "./rule.ts";

/** Runs in a row that must be too short before it is a habit. */
const shortRunsInARow = 5;

/** A contact bounces a few times at a switch; more in ten minutes is a float at its trip point. */
const manyFlickers = 30;

type Cause = "small-active-volume" | "high-inflow" | "drain-back" | "float-chatter";

const advice: Record<Cause, string> = {
  "small-active-volume":
    "The pump starts too often because little water lies between its start and stop levels. Raise the start level or lower the stop level if the basin allows, or use a wider basin.",
  "high-inflow":
    "The pump starts too often because much water comes in. Watch the level while it lasts; more volume between start and stop, or a second pump, would spare it.",
  "drain-back":
    "Much of what the pump lifts runs back after each stop. Check or replace the check valve, and see that it stands upright and close to the pump.",
  "float-chatter":
    "The float flickers at its trip point. Check for turbulence from the inlet, a loose float or switch, and wiring; a shield or a wider float travel helps.",
};

export const shortCycling: Rule = {
  kind: "short-cycling",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 900,
  holds: (view) => tooManyStarts(view) || runsTooShort(view) || view.flickers > manyFlickers,
  evidence: (view) => ({
    cause: causeOf(view),
    starts_in_an_hour: view.startsInLastHour,
    max_starts_per_hour: view.site.pump?.maxStartsPerHour ?? null,
    last_run_s: view.recentCycles[0]?.run_s ?? null,
    min_run_s: view.site.pump?.minRun_s ?? null,
    inflow_m3s: view.inflow?.flow_m3s ?? null,
    pump_rate_m3s: view.pumpRate?.flow_m3s ?? null,
    drain_back_m3: typicalDrainBack_m3(view),
  }),
  // As it goes on, the cause may turn out to be another.
  worsen: (evidence, view) =>
    view.startsInLastHour > Number(evidence.starts_in_an_hour) ? shortCycling.evidence(view) : null,
  message: (view) => advice[causeOf(view)],
};

function tooManyStarts({ site, startsInLastHour }: View): boolean {
  const limit = site.pump?.maxStartsPerHour ?? null;
  return limit !== null && startsInLastHour > limit;
}

function runsTooShort({ site, recentCycles }: View): boolean {
  const minRun_s = site.pump?.minRun_s ?? null;
  if (minRun_s === null || recentCycles.length < shortRunsInARow) return false;
  return recentCycles.slice(0, shortRunsInARow).every((cycle) => cycle.run_s < minRun_s);
}

function causeOf(view: View): Cause {
  const cycles = view.recentCycles;
  const chatters = cycles.filter((cycle) => isChatter(cycle, view)).length;
  if (view.flickers > manyFlickers || chatters * 2 > cycles.length) return "float-chatter";
  const returned_m3 = typicalDrainBack_m3(view);
  const pumped_m3 = median(cycles.flatMap((cycle) => (cycle.pumpRate ? [cycle.pumpRate.flow_m3s * cycle.run_s] : [])));
  if (returned_m3 !== null && pumped_m3 !== null && returned_m3 > 0.25 * pumped_m3) return "drain-back";
  const busy = median(
    cycles.flatMap((cycle) => (cycle.rest_s === null ? [] : [cycle.run_s / (cycle.run_s + cycle.rest_s)])),
  );
  return busy !== null && busy > 0.2 ? "high-inflow" : "small-active-volume";
}

/** A switch after a few seconds that has not let the level go from one trip level to the other. */
function isChatter({ run_s, rest_s, startLevel_m, stopLevel_m }: Cycle, { site }: View): boolean {
  const { basin } = site;
  if (run_s < 6 && rest_s !== null && rest_s < 15) return true;
  if (startLevel_m === null || stopLevel_m === null || basin.startLevel_m === null || basin.stopLevel_m === null)
    return false;
  return startLevel_m - stopLevel_m < 0.4 * (basin.startLevel_m - basin.stopLevel_m) && run_s < 20;
}

function typicalDrainBack_m3({ recentCycles }: View): number | null {
  return median(recentCycles.flatMap((cycle) => (cycle.drainBack_m3 === null ? [] : [cycle.drainBack_m3])));
}

function median(values: number[]): number | null {
  return values.sort((a, b) => a - b)[values.length >> 1] ?? null;
}
