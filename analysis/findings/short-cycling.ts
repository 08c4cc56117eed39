// The pump starts too often, or its runs are too short: both wear motor and switch.

import type { Cycle } from "../cycles/cycle.ts";
import { basinGeometry } from "../geometry/basin.ts";
import { areEven } from "../inflow/active-volume.ts";
import type { Evidence } from "./finding.ts";
import { offBy_m } from "./float-stuck-off.ts";
import type { Rule, View } from "./rule.ts";
import { limitOf, startsOf, startsOver, whichPump } from "./two-pumps.ts";

/** Runs in a row that must be too short before it is a habit. */
export const shortRunsInARow = 5;
/** Of those, so many keep it a habit; and so much of the starts allowed keeps them too many. */
export const stillShort = 3;
export const stillMany = 0.85;

/** A contact bounces a few times at a switch; more in ten minutes is a float at its trip point. */
export const manyFlickers = 30;
export const stillFlickers = 10;
/** A float at its trip point switches the pump off and on within seconds: so many such of the last cycles, this recent. */
export const manyChatters = 5;
export const stillChatters = 3;
export const someFlickers = 5;
export const chatterIsRecent_s = 3600;
export const shortRun_s = 6;
export const shortRest_s = 15;
/** Less of the way from start to stop than this, in less than this, is part of a run. */
export const partOfTheWay = 0.4;
export const partOfARun_s = 20;
/** Share of what a run lifts that runs back, share of cycles that only switch. */
export const muchReturned = 0.25;
export const mostlyChatter = 0.5;
/** The shortest run where the site gives none; common practice, no source. */
export const soonEmpty_s = 8;
/** A float that travels less than this between start and stop makes little volume in any basin; common practice, no source. */
export const shortTravel_m = 0.06;
/** A cause that has been told is given up for another only beyond these shares of its own limit. */
export const sureOfIt = 1.25;

type Cause = "small-active-volume" | "high-inflow" | "drain-back" | "float-chatter";

const advice: Record<Cause, string> = {
  "small-active-volume":
    "The pump starts too often because little water lies between its start and stop levels. Raise the start level or lower the stop level if the basin allows, or use a wider basin. Unplug the pump before you reach in, and plug it in again.",
  "high-inflow":
    "The pump starts too often because much water comes in. Watch the level while it lasts; more volume between start and stop, or a second pump, would spare it.",
  "drain-back":
    "Much of what the pump lifts runs back after each stop. Check or replace the check valve, and see that it stands upright and close to the pump. Unplug the pump before you open the pipe, and plug it in again.",
  "float-chatter":
    "The float flickers at its trip point. Check for turbulence from the inlet, a loose float or switch, and wiring; a shield or a wider float travel helps. Unplug the pump before you reach in, and plug it in again; mains wiring is for a licensed electrician.",
};

export const shortCycling: Rule = {
  kind: "short-cycling",
  severity: "warning",
  onDelay_s: 0,
  // A storm that the pump just holds makes long runs of many short ones for a while: it is one storm.
  offDelay_s: 3600,
  notWhileCalm: true,
  onlyOnNews: true,
  holds: (view, open) => {
    // Starts that are read off a level which tosses about, or stands, are none.
    if (view.runsByLevel && (view.levelProblem !== null || view.levelTosses)) return null;
    if (startsOver(view, open === null ? 1 : stillMany) !== null) return true;
    if (runsTooShort(view, open === null ? shortRunsInARow : stillShort)) return true;
    return open === null ? beginsToChatter(view) : goesOnChattering(view);
  },
  evidence: (view) => evidenceOf(view, causeOf(view, null)),
  // As it goes on, it may get worse, and the cause may turn out to be another.
  worsen: (evidence, view) => {
    const cause = causeOf(view, evidence.cause ?? null);
    const pump = evidence.pump === 1 || evidence.pump === 2 ? evidence.pump : null;
    const worse = startsOf(view, pump).starts > Number(evidence.starts_in_an_hour);
    return worse || cause !== evidence.cause ? evidenceOf(view, cause) : null;
  },
  message: (_, { cause }) => advice[isCause(cause) ? cause : "small-active-volume"],
};

function evidenceOf(view: View, cause: Cause): Evidence {
  const pump = startsOver(view, stillMany)?.pump ?? null;
  const { starts, byInflow } = startsOf(view, pump);
  return {
    cause,
    ...whichPump(pump),
    starts_in_an_hour: starts,
    ...(byInflow && { starts_at_least: Math.floor(byInflow.atLeast), starts_told_by: "what-comes-in" }),
    max_starts_per_hour: limitOf(view.site, pump ?? 1),
    last_run_s: view.recentCycles[0]?.run_s ?? null,
    min_run_s: view.site.pump?.minRun_s ?? null,
    inflow_m3s: view.inflow?.flow_m3s ?? null,
    pump_rate_m3s: view.pumpRate?.flow_m3s ?? null,
    drain_back_m3: typicalDrainBack_m3(view),
  };
}

function runsTooShort({ site, recentCycles, runsByLevel, readEvery_s }: View, least: number): boolean {
  const minRun_s = site.pump?.minRun_s ?? null;
  // How long a run took that hardly a level shows is known on the average only.
  if (runsByLevel && readEvery_s > (minRun_s ?? 0)) return false;
  if (minRun_s === null || recentCycles.length < shortRunsInARow) return false;
  return recentCycles.slice(0, shortRunsInARow).filter((cycle) => cycle.run_s < minRun_s).length >= least;
}

/** @param known the cause as told so far: another must show clearly to take its place */
function causeOf(view: View, known: unknown): Cause {
  const stands = (cause: Cause, figure: number, limit: number) =>
    figure > (known === cause ? limit / sureOfIt : isCause(known) ? limit * sureOfIt : limit);
  const cycles = view.recentCycles;
  const chatters = cycles.filter((cycle) => isChatter(cycle, view)).length / Math.max(1, cycles.length);
  // What keeps it open must not be laid to another cause: the float may chatter a little less, or have been freed.
  if (beginsToChatter(view) || (known === "float-chatter" && goesOnChattering(view))) return "float-chatter";
  if (stands("float-chatter", chatters, mostlyChatter)) return "float-chatter";
  // Its starts count for an hour yet.
  if (known === "float-chatter" && !tooOftenOfLate(view)) return known;
  if (stands("drain-back", returnedShare(view), muchReturned)) return "drain-back";
  // Some rests do not show what runs back: that does not make it the inflow.
  if (known === "drain-back" && typicalDrainBack_m3(view) === null) return known;
  if (stands("small-active-volume", shortTravel_m / travel_m(view), 1)) return "small-active-volume";
  // Where the pump by itself would empty the basin sooner than a run should last, no inflow is needed to make it cycle.
  const limit_s = view.site.pump?.minRun_s ?? soonEmpty_s;
  const empties_s = startsOf(view, null).byInflow?.emptiesIn_s ?? emptiesIn_s(cycles) ?? 0;
  return stands("high-inflow", empties_s, limit_s) ? "high-inflow" : "small-active-volume";
}

/** The latest cycles but for those of a float that chatters make too many starts by themselves, or too short runs. */
function tooOftenOfLate(view: View): boolean {
  const { recentCycles, site } = view;
  const limit = limitOf(site, 1);
  const others = recentCycles.filter(
    (cycle, i) => !switches(cycle, recentCycles[i - 1]) && !isPartOfARun(cycle, view) && !isShortRest(cycle.rest_s),
  );
  if (runsTooShort({ ...view, recentCycles: others }, stillShort)) return true;
  const hours = others.reduce((sum, { run_s, rest_s }) => sum + run_s + (rest_s ?? 0), 0) / 3600;
  return limit !== null && others.length > stillMany * limit * hours;
}

function isCause(cause: unknown): cause is Cause {
  return typeof cause === "string" && cause in advice;
}

/** From where the float starts the pump down to where it stops it, as learned, else as the site says. */
function travel_m({ trips, site }: View): number {
  if (!Number.isNaN(trips.start_m)) return trips.start_m - trips.stop_m;
  const { startLevel_m, stopLevel_m } = site.basin;
  return startLevel_m === null || stopLevel_m === null ? Number.POSITIVE_INFINITY : startLevel_m - stopLevel_m;
}

/** How long the pump would take from start to stop with nothing coming in: runs are longer by what comes in meanwhile. */
function emptiesIn_s(cycles: readonly Cycle[]): number | null {
  return median(cycles.flatMap(({ run_s, rest_s }) => (rest_s === null ? [] : [(run_s * rest_s) / (run_s + rest_s)])));
}

function returnedShare(view: View): number {
  const { recentCycles } = view;
  const lifted = recentCycles.flatMap((cycle) => (cycle.pumpRate ? [cycle.pumpRate.flow_m3s * cycle.run_s] : []));
  // Readings too far apart to show how fast a run lowers the water show from where to where.
  const lifted_m3 = median(lifted) ?? median(betweenLevels_m3(view));
  const returned_m3 = typicalDrainBack_m3(view);
  return returned_m3 === null || lifted_m3 === null ? 0 : returned_m3 / lifted_m3;
}

function betweenLevels_m3({ recentCycles, site }: View): number[] {
  const { volume_m3 } = basinGeometry(site.basin.geometry);
  return recentCycles.flatMap(({ startLevel_m, stopLevel_m }) =>
    startLevel_m === null || stopLevel_m === null || stopLevel_m >= startLevel_m
      ? []
      : [volume_m3(startLevel_m) - volume_m3(stopLevel_m)],
  );
}

function beginsToChatter(view: View): boolean {
  const chatters = chattersLately(view);
  // Some of its switching is too quick to make runs.
  const flickersToo = chatters >= stillChatters && view.flickers >= someFlickers;
  return chatters >= manyChatters || flickersToo || view.flickers > manyFlickers;
}

function goesOnChattering(view: View): boolean {
  return view.flickers > stillFlickers || chattersLately(view) >= stillChatters;
}

/** Without a limit for the pump's starts or runs nobody has said that it must not. */
function chattersLately(view: View): number {
  const { recentCycles, site, time_s } = view;
  const { maxStartsPerHour = null, minRun_s = null } = site.pump ?? {};
  if (maxStartsPerHour === null && minRun_s === null) return 0;
  const chatters = recentCycles.filter(
    (cycle, i) =>
      cycle.stoppedAt_s > time_s - chatterIsRecent_s &&
      (switches(cycle, recentCycles[i - 1]) || isPartOfARun(cycle, view)),
  );
  return chatters.length + view.bobs;
}

function switches({ run_s, rest_s }: Cycle, next: Cycle | undefined): boolean {
  return run_s < shortRun_s && (isShortRest(rest_s) || isShortRest(next?.rest_s ?? null));
}

function isShortRest(rest_s: number | null): boolean {
  return rest_s !== null && rest_s < shortRest_s;
}

function isChatter(cycle: Cycle, view: View): boolean {
  return (cycle.run_s < shortRun_s && isShortRest(cycle.rest_s)) || isPartOfARun(cycle, view);
}

/**
 * A switch after a few seconds that has not let the level go from one trip level to the other; without a level, one so soon
 * after the stop before that the basin cannot have filled.
 */
function isPartOfARun(cycle: Cycle, { site, closelyRead, recentCycles, readEvery_s }: View): boolean {
  const { run_s, rest_s, startLevel_m, stopLevel_m, inflow } = cycle;
  const { basin } = site;
  // Readings far apart miss the ends of a run, and so most of its way.
  if (!closelyRead) return false;
  // How much lies between the floats: where nobody has said so, a cycle without an inflow may be a whole one.
  const known = basin.activeVolume != null || (basin.startLevel_m !== null && basin.stopLevel_m !== null);
  // In a storm cycles are each as long as the others before the pump is known; of a float that chatters none is.
  if (startLevel_m === null && inflow === null)
    return known && run_s < partOfARun_s && isShortRest(rest_s) && !areEven(recentCycles, readEvery_s);
  if (startLevel_m === null || stopLevel_m === null || basin.startLevel_m === null || basin.stopLevel_m === null)
    return false;
  // A sensor that hangs in the air, or says nothing, shows no way at all: no float trips so far down.
  if (startLevel_m < basin.stopLevel_m - offBy_m) return false;
  return startLevel_m - stopLevel_m < partOfTheWay * (basin.startLevel_m - basin.stopLevel_m) && run_s < partOfARun_s;
}

function typicalDrainBack_m3({ recentCycles }: View): number | null {
  return median(recentCycles.flatMap((cycle) => (cycle.drainBack_m3 === null ? [] : [cycle.drainBack_m3])));
}

function median(values: number[]): number | null {
  return values.sort((a, b) => a - b)[values.length >> 1] ?? null;
}
