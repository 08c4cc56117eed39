// Of two pumps one does not start although the water has been where it should: the other has to do its work, and nothing
// is left should that fail too. It stays told until the pump has run again: water that is down shows nothing.

import type { Cycle } from "../cycles/cycle.ts";
import type { PumpNumber } from "../cycles/two-pumps/pump-sets.ts";
import { clearOfStart_m, isOverBothStarts, startsAt_m } from "./float-stuck-off.ts";
import { levelReadings } from "./high-water.ts";
import type { Rule, View } from "./rule.ts";
import { firstCalled, overOwnStart_m } from "./two-pumps.ts";

/** A pump on duty has had its own in so many runs. */
export const runsWithout = 3;
/** Of two that take turns each has; the other's float calls for the one that does not come, in so many of so many runs. */
export const turnsWithout = 2;
export const turns = 4;

export const oneStuckOff: Rule = {
  kind: "float-stuck-off",
  // The other has to do its work: nobody has to be there within the hour.
  severity: "warning",
  onDelay_s: 30,
  offDelay_s: 60,
  onReadings: ({ level_m }) => (level_m === null ? 1 : levelReadings),
  notWhileCalm: true,
  holds: (view, open) => {
    if (view.pumps === null || view.mainsOn === false) return open === null ? false : null;
    const pump = open?.evidence.pump;
    if (open === null || (pump !== 1 && pump !== 2)) return idle(view) !== null;
    // Over a gap it may have started unseen.
    if (runs(view, pump)) return false;
    const started_s = view.pumps.startedAt_s[pump - 1] ?? Number.NEGATIVE_INFINITY;
    return started_s <= open.from_s || (pump === 2 && secondIdles(view, 0));
  },
  evidence: (view) => {
    const pump = idle(view);
    return {
      pump,
      level_m: view.level_m,
      start_level_m: isMissed(view) ? startsAt_m(view) : pump === null ? null : startOf_m(view, pump),
      other_pump_running: view.pumpRunning,
    };
  },
  message: (_, { pump }) =>
    `Pump ${pump} does not start where it should; the other pump has to do its work. Check its plug, breaker and float, and the contact that watches it; switch both off at their plugs before reaching in, and on again. Then, from a dry place, lift its float once with a dry stick: it should start, and this ends when it has run.`,
};

function idle(view: View): PumpNumber | null {
  const called = isMissed(view) ? firstCalled(view) : null;
  if (called !== null) return called;
  const unseen = idlesUnseen(view);
  if (unseen !== null) return unseen;
  if (firstIdles(view) || missesItsTurns(view, 1)) return 1;
  const secondDoes = secondIdles(view, Math.max(overOwnStart_m, 4 * view.levelNoise_m)) || missesItsTurns(view, 2);
  return secondDoes ? 2 : null;
}

/** Neither runs, and the water stands over the lower start and not yet over the upper. */
function isMissed(view: View): boolean {
  const { leastLevel_m: level_m, pumpRunning, levelOnlySaidAgain } = view;
  if (level_m === null || pumpRunning !== false || levelOnlySaidAgain || isOverBothStarts(view, null)) return false;
  return level_m > (startsAt_m(view) ?? Number.POSITIVE_INFINITY) + clearOfStart_m(view);
}

/** Run after run the second started only where the water stood well over the first's own start. */
function firstIdles(view: View): boolean {
  const starts_m = startOf_m(view, 1);
  const latest = view.recentCycles.slice(0, runsWithout);
  if (starts_m === null || latest.length < runsWithout || runs(view, 1)) return false;
  return latest.every(
    (cycle) => cycle.pumps?.pump1_s === 0 && startedAtLeast_m(cycle, view) > starts_m + overOwnStart_m,
  );
}

/** A start is seen at a reading, by when the water may have gone on rising since the one before. */
function startedAtLeast_m({ startLevel_m, rest_s }: Cycle, { readEvery_s, site }: View): number {
  if (startLevel_m === null) return 0;
  const fill_m = startLevel_m - (site.basin.stopLevel_m ?? 0);
  return startLevel_m - (rest_s === null ? 0 : Math.min(1, readEvery_s / rest_s) * fill_m);
}

/** The first runs alone, and the water stands over the second's start. */
function secondIdles(view: View, over_m: number): boolean {
  const starts_m = startOf_m(view, 2);
  return view.pumps?.set === 1 && starts_m !== null && view.level_m !== null && view.level_m > starts_m + over_m;
}

/**
 * Two pumps take turns, and by turns the other one starts at the lower float and, for this one, not before the water is at
 * the upper: were it on duty itself, it would start at the lower every time.
 */
function missesItsTurns(view: View, pump: PumpNumber): boolean {
  const [lower_m, upper_m] = [startOf_m(view, 1), startOf_m(view, 2)];
  const latest = view.recentCycles.slice(0, turns);
  if (lower_m === null || upper_m === null || latest.length < turns) return false;
  if (runs(view, pump) || upper_m < lower_m + 2 * overOwnStart_m) return false;
  if (latest.some(({ pumps }) => pumps?.[pump === 1 ? "pump1_s" : "pump2_s"] !== 0)) return false;
  const inVain = latest.filter(
    (cycle) =>
      (cycle.startLevel_m ?? 0) > upper_m - overOwnStart_m && startedAtLeast_m(cycle, view) > lower_m + overOwnStart_m,
  );
  const own = latest.filter(({ startLevel_m }) => (startLevel_m ?? upper_m) < lower_m + overOwnStart_m);
  return inVain.length >= turnsWithout && own.length > 0;
}

/** Without a level which of them have run, and after how long, tells alone. */
function idlesUnseen(view: View): PumpNumber | null {
  const [lower_m, upper_m] = [startOf_m(view, 1), startOf_m(view, 2)];
  if (lower_m === null || upper_m === null || upper_m < lower_m + 2 * overOwnStart_m) return null;
  if (view.recentCycles.some(({ startLevel_m }) => startLevel_m !== null)) return null;
  const pump = view.pumps?.idle ?? null;
  return pump === null || runs(view, pump) ? null : pump;
}

function runs({ pumps }: View, pump: PumpNumber): boolean {
  return pumps?.set === pump || pumps?.set === 3;
}

function startOf_m({ site }: View, pump: PumpNumber): number | null {
  return pump === 1 ? site.basin.startLevel_m : (site.pumps?.[1].startLevel_m ?? null);
}
