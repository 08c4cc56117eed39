// After each stop much more water comes back than a check valve lets through while it closes.

import type { Cycle } from "../cycles/cycle.ts";
import { pathVolume_m3 } from "../hydraulics/discharge-path.ts";
import { closing_m3, mostOfPipe } from "../inflow/drain-back/drain-back.ts";
import { closely_s } from "../inflow/drain-back/unseen-return.ts";
import type { DischargeSite } from "../site.ts";
import type { Rule, View } from "./rule.ts";

/** A closing valve lets part of a litre through, or so much of what a run moves; common practice, no source. */
export const closingValve_m3 = closing_m3;
export const shareOfRun = 0.05;
/** Of a pipe that is known to hold little, less is much: this share of what it holds, down to what any valve lets back. */
export const shareOfPipe = 0.4;
export const leastLimit_m3 = 0.0012;
export const cycles = 5;
export const stillLeaks = 2;
/** Rests in a row whose rise was seen, and showed nothing that came back: readings seldom enough never show that nothing does. */
export const showsNone = 8;
export const seldomRead = 2;
/** Readings farther apart than this, s: no rest alone tells what comes back, only many together, and those are surer. */
export const byMany_s = 15;
export const seenByMany = 1.5;

export const checkValveLeak: Rule = {
  kind: "check-valve-leak",
  severity: "warning",
  onDelay_s: 0,
  // Some rests hide for a while what runs back: it is one leak.
  offDelay_s: 7200,
  notWhileCalm: true,
  onlyOnNews: true,
  holds: ({ recentCycles, site, levelProblem, closelyRead, readEvery_s, pumpRunning }, open) => {
    // What comes back is read off the level.
    if (levelProblem !== null) return null;
    const known = recentCycles
      .filter(({ drainBack_m3 }) => drainBack_m3 !== null && !isImpossible(drainBack_m3, site))
      .slice(0, cycles);
    if (known.length < cycles) {
      // The rest under way has not shown yet what comes back after the latest run.
      const asked = open !== null && readEvery_s > closely_s && pumpRunning === true;
      return asked && isMended(recentCycles) ? false : null;
    }
    // Readings far apart see little of the first minutes, in which it shows.
    const surely = closelyRead || open !== null ? 1 : readEvery_s > byMany_s ? seenByMany : seldomRead;
    const leaks = known.filter(
      (cycle) => (cycle.drainBack_m3 ?? 0) > surely * closingValve(cycle, site.discharge),
    ).length;
    if (open !== null) return leaks >= stillLeaks;
    return leaks >= cycles - 1 && (fallsAway(known) ? null : true);
  },
  evidence: ({ recentCycles, site }: View) => {
    const latest = recentCycles.find((cycle) => cycle.drainBack_m3 !== null);
    return {
      drain_back_m3: latest?.drainBack_m3 ?? null,
      closing_valve_m3: latest ? closingValve(latest, site.discharge) : closingValve_m3,
      pipe_m3: site.discharge === null ? null : pipeVolume_m3(site.discharge),
    };
  },
  message: () =>
    "Much of what the pump lifts runs back after each stop. Check that the check valve is there, upright and closes; clean or replace it. Unplug the pump before you open the pipe, which is full of water, and plug it in again.",
};

/**
 * Inflow that falls away after rain bends every rest the same way, as water does that comes back: while it falls by more
 * than this share of it from rest to rest, the two are not told apart.
 */
export const fallingAway = 0.25;

function fallsAway(known: readonly Cycle[]): boolean {
  const newest = known[0];
  const oldest = known[known.length - 1];
  if (!newest?.inflow || !oldest?.inflow || newest.rest_s === null) return false;
  const perRest_m3s = (oldest.inflow.flow_m3s - newest.inflow.flow_m3s) / (known.length - 1);
  return (perRest_m3s * newest.rest_s) / 2 > fallingAway * (newest.drainBack_m3 ?? 0);
}

function isMended(recentCycles: readonly Cycle[]): boolean {
  const latest = recentCycles.slice(0, showsNone);
  return (
    latest.length === showsNone &&
    latest.every(({ drainBack_m3, inflow }) => drainBack_m3 === null && inflow?.method === "fill-slope")
  );
}

/** The pipe cannot give back what it does not hold. */
function isImpossible(drainBack_m3: number, { discharge }: View["site"]): boolean {
  return discharge !== null && drainBack_m3 > mostOfPipe * pipeVolume_m3(discharge);
}

/** What a sound valve lets back at most, m³. */
function closingValve({ pumpRate, run_s }: Cycle, discharge: DischargeSite | null): number {
  const limit_m3 = Math.max(closingValve_m3, pumpRate === null ? 0 : shareOfRun * pumpRate.flow_m3s * run_s);
  if (discharge === null) return limit_m3;
  return Math.min(limit_m3, Math.max(leastLimit_m3, shareOfPipe * pipeVolume_m3(discharge)));
}

/** Asked at every reading, and always of the same discharge. */
const volumes = new WeakMap<DischargeSite, number>();

function pipeVolume_m3(discharge: DischargeSite): number {
  const known_m3 = volumes.get(discharge);
  if (known_m3 !== undefined) return known_m3;
  const volume_m3 = pathVolume_m3(discharge);
  volumes.set(discharge, volume_m3);
  return volume_m3;
}
