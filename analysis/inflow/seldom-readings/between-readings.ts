// What came in from one reading to the next, where those are too far apart for rests and runs to show it: by how far the
// water rose, and what the pump moved meanwhile, which follows from where its float starts and stops it.

import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";

export interface Standing {
  readonly time_s: number;
  readonly volume_m3: number;
  /** Whether the pump runs. */
  readonly on: boolean;
}

/** Between which volumes the pump goes on and off, and what it moves. */
export interface PumpBetween {
  readonly stop_m3: number;
  readonly active_m3: number;
  readonly pump_m3s: number;
}

export interface CameIn {
  readonly volume_m3: number;
  /** What the pump moved meanwhile. */
  readonly pumped_m3: number;
  /** It started meanwhile. */
  readonly starts: boolean;
}

/** Floats that open early, and a pump that is not known well, may make a run as short as this share of its length. Judgement, no source. */
const shortest = 0.8;
/** How much comes in shortens a rest and prolongs a run, which tells how much came in: so often, it is settled. */
const passes = 3;
/** A pump that is nearly overwhelmed is taken to hold this share of its flow back yet. */
const mostShare = 0.5;

/**
 * What is least among all that leads from the one to the other: at most one run began between them. A rest does not fall.
 *
 * @param fall_m3 a level that sinks by more, at rest before and after, has been pumped
 */
export function cameInBetween(from: Standing, to: Standing, pump: PumpBetween, fall_m3: number): CameIn {
  const length_s = to.time_s - from.time_s;
  const risen_m3 = standing_m3(to, pump) - standing_m3(from, pump);
  let volume_m3 = Math.max(0, risen_m3);
  let ran_s = 0;
  for (let pass = 0; pass < passes; pass += 1) {
    const inflow_m3s = Math.min(mostShare * pump.pump_m3s, Math.max(0, volume_m3 / length_s));
    ran_s = ranBetween_s(from, to, pump, inflow_m3s, risen_m3 < -fall_m3);
    volume_m3 = risen_m3 + pump.pump_m3s * ran_s;
  }
  const starts = from.on ? to.on && ran_s < length_s : to.on || ran_s > 0;
  return { volume_m3, pumped_m3: volume_m3 - risen_m3, starts };
}

/** How long the pump moved water between the two. */
function ranBetween_s(from: Standing, to: Standing, pump: PumpBetween, inflow_m3s: number, fell: boolean): number {
  const { stop_m3, active_m3, pump_m3s } = pump;
  const length_s = to.time_s - from.time_s;
  const falls_m3s = pump_m3s - inflow_m3s;
  // What comes in while the pump comes up to speed is to be moved, too.
  const whole_s = (active_m3 + inflow_m3s * lostInSpinUp_s) / falls_m3s;
  if (!from.on && !to.on) return fell && holdsRun(length_s, to.volume_m3 - from.volume_m3, pump) ? whole_s : 0;
  const [before_m3, after_m3] = [standing_m3(from, pump), standing_m3(to, pump)];
  const within_s = (volume_m3: number) => Math.min(length_s, Math.max(0, volume_m3 / falls_m3s));
  const toStop_s = within_s(before_m3 - stop_m3);
  const sinceStart_s = within_s(stop_m3 + active_m3 - after_m3);
  if (!from.on) return sinceStart_s;
  return to.on ? Math.min(length_s, toStop_s + sinceStart_s) : toStop_s;
}

/**
 * A whole run fits in, and time to fill to its start and after its stop by what a household pours out: else a level that falls
 * there at rest is that of a slow sensor, which sinks on after the stop.
 */
function holdsRun(length_s: number, risen_m3: number, { active_m3, pump_m3s }: PumpBetween): boolean {
  const rested_s = length_s - (shortest * active_m3) / pump_m3s;
  return active_m3 + risen_m3 < mostShare * pump_m3s * rested_s;
}

/** Of one that runs a level beyond where it starts and stops is wrong, or lags. */
function standing_m3({ volume_m3, on }: Standing, { stop_m3, active_m3 }: PumpBetween): number {
  return on ? Math.min(stop_m3 + active_m3, Math.max(stop_m3, volume_m3)) : volume_m3;
}
