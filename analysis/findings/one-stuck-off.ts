// Of two pumps one does not start although the water has been where it should: the other does its work, and nothing is
// left should that fail too.

import type { PumpNumber } from "../cycles/pump-sets.ts";
import { levelReadings } from "./high-water.ts";
import type { Rule, View } from "./rule.ts";

/** Two floats that hang close to each other scatter by less. */
export const overOwnStart_m = 0.02;
/** A pump that takes turns has had its own in so many runs. */
export const runsWithout = 3;

export const oneStuckOff: Rule = {
  kind: "float-stuck-off",
  severity: "critical",
  onDelay_s: 30,
  offDelay_s: 60,
  onReadings: ({ level_m }) => (level_m === null ? 1 : levelReadings),
  notWhileCalm: true,
  holds: (view, open) => {
    if (view.pumps === null || view.mainsOn === false) return open === null ? false : null;
    if (open?.evidence.pump === 1) return !hasRun(view);
    if (open?.evidence.pump === 2) return secondIdles(view, 0);
    return idle(view) !== null;
  },
  evidence: (view) => {
    const pump = idle(view);
    return {
      pump,
      level_m: view.level_m,
      start_level_m: pump === null ? null : startOf_m(view, pump),
      other_pump_running: view.pumpRunning,
    };
  },
  message: (_, { pump }) =>
    `Pump ${pump} does not start where it should; the other pump does its work. Check its plug, breaker and float, and the contact that watches it, before the other is needed for more than it can do; switch both off at their plugs before reaching in.`,
};

function idle(view: View): PumpNumber | null {
  if (firstIdles(view)) return 1;
  return secondIdles(view, Math.max(overOwnStart_m, 4 * view.levelNoise_m)) ? 2 : null;
}

/** Run after run the second started only where the water stood well over the first's own start. */
function firstIdles(view: View): boolean {
  const starts_m = startOf_m(view, 1);
  const latest = view.recentCycles.slice(0, runsWithout);
  if (starts_m === null || latest.length < runsWithout || hasRun(view)) return false;
  return latest.every(
    ({ pumps, startLevel_m }) => pumps?.pump1_s === 0 && (startLevel_m ?? 0) > starts_m + overOwnStart_m,
  );
}

/** The first runs, or has in the latest run. */
function hasRun({ pumps, recentCycles }: View): boolean {
  return pumps?.set === 1 || pumps?.set === 3 || (recentCycles[0]?.pumps?.pump1_s ?? 0) > 0;
}

/** The first runs alone, and the water stands over the second's start. */
function secondIdles(view: View, over_m: number): boolean {
  const starts_m = startOf_m(view, 2);
  return view.pumps?.set === 1 && starts_m !== null && view.level_m !== null && view.level_m > starts_m + over_m;
}

function startOf_m({ site }: View, pump: PumpNumber): number | null {
  return pump === 1 ? site.basin.startLevel_m : (site.pumps?.[1].startLevel_m ?? null);
}
