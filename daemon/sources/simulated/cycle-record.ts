// Keeps account of the true cycles while the basin model runs: what ran in during each rest, what each run moved.

import type { BasinState, TrueCycle } from "./basin-model.ts";

type Mark = Readonly<BasinState>;

export interface CycleRecord {
  /** To be called just before the pump starts. */
  started(): void;
  /** To be called just before the pump stops. */
  stopped(): void;
  /** To be called while it runs, at every step. */
  running(): void;
  pumpedInRun_m3(): number;
}

export function cycleRecord(
  state: Mark,
  spinUp_s: number,
  onCycle: ((cycle: TrueCycle) => void) | undefined,
): CycleRecord {
  let start: Mark = { ...state };
  let fullSpeed: Mark | null = null;
  let stop: Mark | null = null;
  let rest: Pick<TrueCycle, "rest_s" | "restInflow_m3s"> = { rest_s: null, restInflow_m3s: null };

  function started(): void {
    if (stop !== null) onCycle?.(complete(start, fullSpeed, stop, rest, state));
    rest = stop === null ? { rest_s: null, restInflow_m3s: null } : restBetween(stop, state);
    start = { ...state };
    fullSpeed = null;
  }

  function running(): void {
    if (fullSpeed === null && state.time_s - start.time_s >= spinUp_s) fullSpeed = { ...state };
  }

  function stopped(): void {
    stop = { ...state };
  }

  return { started, running, stopped, pumpedInRun_m3: () => state.pumped_m3 - start.pumped_m3 };
}

function restBetween(stop: Mark, start: Mark) {
  const rest_s = start.time_s - stop.time_s;
  return { rest_s, restInflow_m3s: (start.inflow_m3 - stop.inflow_m3) / rest_s };
}

function complete(
  start: Mark,
  fullSpeed: Mark | null,
  stop: Mark,
  rest: Pick<TrueCycle, "rest_s" | "restInflow_m3s">,
  now: Mark,
): TrueCycle {
  return {
    startedAt_s: start.time_s,
    stoppedAt_s: stop.time_s,
    ...rest,
    pumped_m3: stop.pumped_m3 - start.pumped_m3,
    pumpRate_m3s:
      fullSpeed === null || stop.time_s <= fullSpeed.time_s
        ? null
        : (stop.pumped_m3 - fullSpeed.pumped_m3) / (stop.time_s - fullSpeed.time_s),
    drainBack_m3: now.returned_m3 - stop.returned_m3,
  };
}
