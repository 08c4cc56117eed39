// All basins that someone may see, each as one row, and what has changed since: kept up to date a few times a second,
// basin by basin, so that the work grows with what happens and not with how many there are.

import type { Basin, Basins } from "./basins.ts";
import type { OverviewAnswer, OverviewChanges, OverviewRow, Pulse } from "./central-types.ts";
import type { JudgedAt } from "./conditions.ts";

/** Which basins someone may see: of this customer; null: all, strangers too. */
export type Seer = string | null;

export interface OverviewParts {
  readonly basins: Basins;
  readonly view: OverviewAnswer["view"];
  readonly version: string;
  at(): JudgedAt;
  brokerLost(): OverviewAnswer["brokerLost"];
  /** Told of each basin at the first look, and whenever what is true of it has changed. */
  onRow?(row: OverviewRow): void;
}

export interface Overview {
  whole(seer: Seer): OverviewAnswer;
  /** Judges anew what was heard of since and, bit by bit, the rest, for time passes too. */
  step(): void;
  /** What has changed since the last `take()`, for one of those who see it; null when nothing has. */
  changes(seer: Seer): OverviewChanges | null;
  /** All have been told. */
  take(): void;
  lost(): OverviewAnswer["brokerLost"];
}

export function maySee(seer: Seer, { enrolled }: Basin): boolean {
  return seer === null || enrolled?.customer === seer;
}

interface Kept {
  readonly row: OverviewRow;
  readonly text: string;
  readonly tier: string;
  pulse: Pulse;
  pulse_s: number;
}

/** Each basin is looked at once in so many steps, whether or not something was heard of it. */
const stepsForAll = 16;
/**
 * A level is said again when it has moved so far, and of a basin that is well not more often than this: a little more often
 * than boards commonly read it, or each level would be said later than the one before.
 */
const tellingLevel_m = 0.002;
const calmPulse_s = 4;
const urgentPulse_s = 1;

export function overview({ basins, view, version, at, brokerLost, onRow }: OverviewParts): Overview {
  const kept = new Map<string, Kept>();
  let rows = new Set<Basin>();
  let pulses = new Set<Basin>();
  const restless = new Set<Basin>();
  let waiting: Basin[] = [];
  let share = 1;
  let saidLost: string | null = null;
  let lostChanged = false;

  function judge(basin: Basin, now: JudgedAt): void {
    const row = basins.row(basin, now);
    const text = JSON.stringify(row);
    const before = kept.get(basin.name);
    if (before?.text === text) return;
    kept.set(basin.name, {
      row,
      text,
      tier: row.conditions[0]?.tier ?? "well",
      pulse: before?.pulse ?? basins.pulse(basin),
      pulse_s: before?.pulse_s ?? now.now_s,
    });
    rows.add(basin);
    onRow?.(row);
  }

  /** What has moved is said as soon as its time has come, also when nothing more is heard by then. */
  function feelPulses(now_s: number): void {
    for (const basin of restless) {
      const its = kept.get(basin.name);
      const pulse = basins.pulse(basin);
      const isDue = its !== undefined && now_s - its.pulse_s >= (its.tier === "now" ? urgentPulse_s : calmPulse_s);
      const moved = its !== undefined && hasMoved(its.pulse, pulse);
      if (moved && !isDue) continue;
      restless.delete(basin);
      if (!moved) continue;
      its.pulse = pulse;
      its.pulse_s = now_s;
      pulses.add(basin);
    }
  }

  return {
    whole(seer) {
      const now = at();
      const seen = [...basins.all()].filter((basin) => maySee(seer, basin));
      return {
        view,
        version,
        now_s: now.now_s,
        brokerLost: brokerLost(),
        rows: seen.map((basin) => basins.row(basin, now)),
        pulses: seen.map((basin) => basins.pulse(basin)),
      };
    },
    step() {
      const now = at();
      for (const name of basins.changed()) {
        const basin = basins.get(name);
        if (basin === undefined) continue;
        judge(basin, now);
        restless.add(basin);
      }
      feelPulses(now.now_s);
      if (waiting.length === 0) {
        waiting = [...basins.all()];
        share = Math.ceil(waiting.length / stepsForAll);
      }
      for (const basin of waiting.splice(-share)) judge(basin, now);
      const lost = JSON.stringify(brokerLost());
      lostChanged ||= lost !== saidLost;
      saidLost = lost;
    },
    changes(seer) {
      const mine = (all: ReadonlySet<Basin>) => [...all].filter((basin) => maySee(seer, basin));
      const [changedRows, moved] = [mine(rows), mine(pulses)];
      if (changedRows.length === 0 && moved.length === 0 && !lostChanged) return null;
      return {
        now_s: at().now_s,
        brokerLost: brokerLost(),
        rows: changedRows.flatMap(({ name }) => kept.get(name)?.row ?? []),
        pulses: moved.flatMap(({ name }) => {
          const its = kept.get(name);
          return its === undefined ? [] : [its.pulse];
        }),
      };
    },
    take() {
      rows = new Set();
      pulses = new Set();
      lostChanged = false;
    },
    lost: brokerLost,
  };
}

function hasMoved([, levelBefore_m, runBefore]: Pulse, [, level_m, run]: Pulse): boolean {
  if (run !== runBefore || (level_m === null) !== (levelBefore_m === null)) return true;
  return level_m !== null && levelBefore_m !== null && Math.abs(level_m - levelBefore_m) >= tellingLevel_m;
}
