// A physical basin: water runs in, a float starts the pump, the pump empties it, some water comes back through the check
// valve. Knows the truth to the last drop; what a sensor makes of it stands in sensors.ts, the weather in weather.ts.

import type { BasinGeometry } from "../../../analysis/geometry/basin.ts";
import { cycleRecord } from "./cycle-record.ts";
import type { Random } from "./random.ts";

/** What is broken at a moment; `null` is a healthy basin. */
export type Fault = "power-cut" | "float-stuck-on" | "float-stuck-off" | "pump-tripped" | null;

export interface BasinModelOptions {
  readonly geometry: BasinGeometry;
  readonly startLevel_m: number;
  readonly stopLevel_m: number;
  readonly highLevel_m: number | null;
  /** Water above it runs over the rim and is lost. */
  readonly overflowLevel_m: number | null;
  readonly inflow_m3s: (time_s: number, level_m: number) => number;
  /** What the pump moves once up to speed. */
  readonly pumpFlow_m3s: (level_m: number, time_s: number) => number;
  readonly startTime_s: number;
  readonly initialLevel_m: number;
  readonly random: Random;
  /** Standard deviation of the level at which the float turns over, drawn anew each time. */
  readonly floatRepeatability_m?: number;
  /** From switching on to full flow. */
  readonly spinUp_s?: number;
  /** Water that stands in the pipe and returns while the check valve closes, and how fast (time constant). */
  readonly drainBack_m3?: number;
  readonly drainBack_s?: number;
  /** `fading` by default; `steady`: at one rate, done in twice the time constant. */
  readonly drainBackCourse?: "fading" | "steady";
  /** Water that seeps back through a valve that does not close tight, over the rest. */
  readonly leak_m3?: number;
  readonly leak_s?: number;
  readonly fault?: (time_s: number) => Fault;
  /** Called when a cycle is complete: at the next start, when all that returned has returned. */
  readonly onCycle?: (cycle: TrueCycle) => void;
}

/** A cycle as it truly was. */
export interface TrueCycle {
  readonly startedAt_s: number;
  readonly stoppedAt_s: number;
  /** From the stop before; null for the first. */
  readonly rest_s: number | null;
  /** Mean over that rest, returned water left out. */
  readonly restInflow_m3s: number | null;
  readonly pumped_m3: number;
  /** Mean from full speed to the stop; null for a run shorter than the spin-up. */
  readonly pumpRate_m3s: number | null;
  /** Returned in the rest after the run. */
  readonly drainBack_m3: number;
}

export interface BasinState {
  time_s: number;
  level_m: number;
  pumpOn: boolean;
  /** Since when the pump runs or rests. */
  pumpSince_s: number;
  /** What the pump moves at this moment. */
  pumpFlow_m3s: number;
  floatOn: boolean;
  highFloat: boolean;
  mainsOn: boolean;
  /** Sums since the start: level change × area = inflow + returned − pumped − spilled. */
  inflow_m3: number;
  pumped_m3: number;
  returned_m3: number;
  spilled_m3: number;
  volume_m3: number;
}

export interface BasinModel {
  readonly state: Readonly<BasinState>;
  advanceTo(time_s: number): void;
}

const busyStep_s = 0.1;
const quietStep_s = 1;
/** Below it the pump draws air. */
const intakeLevel_m = 0.03;
const highFloatHysteresis_m = 0.02;
/** Water left in the pipe that no longer matters (0.01 mL). */
const emptyPipe_m3 = 1e-8;

/** Integrates in steps of 0.1 s (1 s while nothing but inflow goes on); float turns are found within the step. */
export function basinModel(options: BasinModelOptions): BasinModel {
  const { geometry, inflow_m3s, pumpFlow_m3s, random, highLevel_m, onCycle } = options;
  const { floatRepeatability_m = 0, spinUp_s = 1, drainBack_m3 = 0, drainBack_s = 1.5 } = options;
  const { drainBackCourse = "fading", leak_m3 = 0, leak_s = 120, fault = () => null } = options;
  const spillVolume_m3 = options.overflowLevel_m === null ? Infinity : geometry.volume_m3(options.overflowLevel_m);
  const turnVolume_m3 = (level_m: number) => geometry.volume_m3(level_m + random.normal(floatRepeatability_m));
  let startVolume_m3 = turnVolume_m3(options.startLevel_m);
  let stopVolume_m3 = turnVolume_m3(options.stopLevel_m);
  let closingWater_m3 = 0;
  let leakingWater_m3 = 0;

  const state: BasinState = {
    time_s: options.startTime_s,
    level_m: options.initialLevel_m,
    pumpOn: false,
    pumpSince_s: options.startTime_s,
    pumpFlow_m3s: 0,
    floatOn: false,
    highFloat: false,
    mainsOn: true,
    inflow_m3: 0,
    pumped_m3: 0,
    returned_m3: 0,
    spilled_m3: 0,
    volume_m3: geometry.volume_m3(options.initialLevel_m),
  };
  const record = cycleRecord(state, spinUp_s, onCycle);

  function advanceTo(time_s: number): void {
    while (state.time_s < time_s) step(time_s);
  }

  function step(until_s: number): void {
    const remaining_s = until_s - state.time_s;
    const now = fault(state.time_s);
    state.mainsOn = now !== "power-cut";
    turnFloat(now);
    switchPump(state.floatOn && state.mainsOn && now !== "pump-tripped");

    if (state.pumpOn) record.running();
    const quiet = !state.pumpOn && closingWater_m3 + leakingWater_m3 < emptyPipe_m3;
    let duration_s = Math.min(remaining_s, quiet ? quietStep_s : busyStep_s);
    const inflow = inflow_m3s(state.time_s + duration_s / 2, state.level_m);
    state.pumpFlow_m3s = state.pumpOn ? pumpFlowNow(duration_s) : 0;
    duration_s = untilTurn_s(duration_s, inflow - state.pumpFlow_m3s);
    const returned = state.pumpOn ? 0 : drain(duration_s);

    state.inflow_m3 += inflow * duration_s;
    state.pumped_m3 += state.pumpFlow_m3s * duration_s;
    state.returned_m3 += returned;
    state.volume_m3 += (inflow - state.pumpFlow_m3s) * duration_s + returned;
    if (state.volume_m3 > spillVolume_m3) {
      state.spilled_m3 += state.volume_m3 - spillVolume_m3;
      state.volume_m3 = spillVolume_m3;
    }
    state.time_s = duration_s === remaining_s ? until_s : state.time_s + duration_s;
    state.level_m = geometry.level_m(state.volume_m3);
    if (highLevel_m !== null) {
      state.highFloat = state.level_m >= highLevel_m - (state.highFloat ? highFloatHysteresis_m : 0);
    }
  }

  function turnFloat(now: Fault): void {
    if (!state.floatOn && state.volume_m3 >= startVolume_m3 && now !== "float-stuck-off") {
      state.floatOn = true;
      stopVolume_m3 = turnVolume_m3(options.stopLevel_m);
    } else if (state.floatOn && state.volume_m3 <= stopVolume_m3 && now !== "float-stuck-on") {
      state.floatOn = false;
      startVolume_m3 = turnVolume_m3(options.startLevel_m);
    }
  }

  function switchPump(on: boolean): void {
    if (on === state.pumpOn) return;
    if (on) {
      record.started();
    } else {
      // a run too short to fill the pipe leaves less to come back
      const pipe_m3 = drainBack_m3 + leak_m3;
      const standing_m3 = Math.min(pipe_m3, closingWater_m3 + leakingWater_m3 + record.pumpedInRun_m3());
      closingWater_m3 = pipe_m3 > 0 ? (standing_m3 * drainBack_m3) / pipe_m3 : 0;
      leakingWater_m3 = standing_m3 - closingWater_m3;
      record.stopped();
    }
    state.pumpOn = on;
    state.pumpSince_s = state.time_s;
  }

  function pumpFlowNow(duration_s: number): number {
    if (state.level_m <= intakeLevel_m) return 0;
    const age_s = state.time_s + duration_s / 2 - state.pumpSince_s;
    const speed = age_s >= spinUp_s ? 1 : (1 - Math.cos((Math.PI * age_s) / spinUp_s)) / 2;
    return speed * pumpFlow_m3s(state.level_m, state.time_s);
  }

  /** Shortens the step so that it ends where the float turns over. */
  function untilTurn_s(duration_s: number, net_m3s: number): number {
    const target_m3 = state.floatOn ? stopVolume_m3 : startVolume_m3;
    const distance_m3 = target_m3 - state.volume_m3;
    if (net_m3s === 0 || distance_m3 === 0 || distance_m3 > 0 !== net_m3s > 0) return duration_s;
    // never shorter than Unix time can tell in a double, or the model would not move on
    return Math.min(duration_s, Math.max(distance_m3 / net_m3s, 1e-6));
  }

  function drain(duration_s: number): number {
    const closing_m3 =
      drainBackCourse === "fading"
        ? closingWater_m3 * (1 - Math.exp(-duration_s / drainBack_s))
        : Math.min(closingWater_m3, (drainBack_m3 * duration_s) / (2 * drainBack_s));
    const leaking_m3 = leakingWater_m3 * (1 - Math.exp(-duration_s / leak_s));
    closingWater_m3 -= closing_m3;
    leakingWater_m3 -= leaking_m3;
    return closing_m3 + leaking_m3;
  }

  return { state, advanceTo };
}
