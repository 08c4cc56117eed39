// Cycles counted by how far each reading lies in its own: a strobe. As long as the inflow changes little from one reading to
// the next, whole cycles that fall between two readings are counted too, though nobody sees them.

/** How far through its cycle a reading lies, 0 to 1: from the stop of the pump through the rest to the end of its run. */
export interface CyclePhase {
  phase: number;
  /** Cycles from one reading to the next, as followed; and in all. */
  perReading: number;
  cycles: number;
}

export function newCyclePhase(): CyclePhase {
  return { phase: Number.NaN, perReading: 0, cycles: 0 };
}

export interface WithinCycle {
  /** Of what lies between the floats, how much is full; under 0 and over 1 for what floats scatter. */
  readonly full: number;
  readonly on: boolean;
  /** How long a run without inflow would take, in intervals between readings. */
  readonly shortestRun: number;
}

const gain = 0.15;

/** The time share of the run, from how many cycles there are in an interval: d·(1 − d) is run over cycle without inflow. */
export function shareOfRun(perReading: number, shortestRun: number): number {
  return (1 - Math.sqrt(Math.max(0, 1 - 4 * Math.max(0, perReading) * shortestRun))) / 2;
}

export function notePhase(state: CyclePhase, { full, on, shortestRun }: WithinCycle): void {
  const run = shareOfRun(state.perReading, shortestRun);
  const part = Math.min(1, Math.max(0, full));
  const phase = on ? 1 - run * part : (1 - run) * part;
  if (!Number.isNaN(state.phase)) {
    const beyond = phase - state.phase;
    const passed = beyond + Math.round(state.perReading - beyond);
    state.perReading = Math.max(0, state.perReading + gain * (passed - state.perReading));
    state.cycles += passed;
  }
  state.phase = phase;
}
