// The water itself: basin, floats, pump, check valve and riser, in small steps that end exactly where a float turns, a
// pulse begins or something breaks. Second-order midpoint rule; every litre is booked.

import { type PipeLaw, type PumpLaw, pumpFlow_m3s } from "./pump-law.ts";
import type { Random } from "./random.ts";
import type { Vessel } from "./vessel.ts";
import type { Inflow } from "./weather.ts";

export interface ValveLaw {
  /** Runs back while the flap falls shut, and how long that takes. */
  readonly closing_m3: number;
  readonly closing_s: number;
  /** What seeps back afterwards. `orifice`: by the root of the column; `exponential`: by what is left of it. */
  readonly leak:
    | { readonly law: "tight" }
    | { readonly law: "orifice"; readonly area_m2: number }
    | { readonly law: "exponential"; readonly time_s: number };
}

/** What may change in the course of a recording. */
export interface Condition {
  readonly power: boolean;
  readonly tripped: boolean;
  readonly float: "free" | "stuck-off" | "stuck-on" | "chatter";
  readonly headShare: number;
  readonly frictionTimes: number;
  /** For so long after a start the pump only churns air. */
  readonly airFor_s: number;
  readonly valve: ValveLaw;
}

export interface Change {
  readonly at_s: number;
  readonly set: Partial<Condition>;
}

export interface PlantOptions {
  readonly vessel: Vessel;
  readonly inflow: Inflow;
  readonly pump: PumpLaw;
  readonly pipe: PipeLaw;
  readonly startTrip_m: number;
  readonly stopTrip_m: number;
  /** Standard deviation of the trip levels, drawn anew each time. */
  readonly tripScatter_m: number;
  readonly spinUp_s: number;
  readonly rim_m: number;
  readonly first: Condition;
  readonly changes: readonly Change[];
  /** Head that wear takes: from 1 at `from_s` down to `headShare` at `to_s`, straight between. */
  readonly wear: { readonly from_s: number; readonly to_s: number; readonly headShare: number } | null;
  /** A second pump takes every other turn, and has this share of the first one's head; wear is then its alone. */
  readonly second: { readonly headShare: number } | null;
  /**
   * Another pump on a battery, with a float and a discharge of its own: it stands by until the water comes up to its float
   * and needs no mains. It has this share of the first one's head.
   */
  readonly standby?: { readonly start_m: number; readonly stop_m: number; readonly headShare: number } | null;
  readonly firstLevel_m: number;
  readonly random: Random;
  readonly onMotor: (time_s: number, on: boolean) => void;
}

/** Everything that has passed since the beginning. */
export interface Totals {
  inflow_m3: number;
  /** Through the pump, what came back later included. */
  pumped_m3: number;
  returned_m3: number;
  /** Over the high point and away; over the rim onto the floor. */
  discharged_m3: number;
  spilled_m3: number;
  /** Through the pump, and time, with the pump up to speed and the riser full. */
  fullSpeed_m3: number;
  fullSpeed_s: number;
  /** By the pump that stands by, and how long and often it ran. */
  standby_m3: number;
  standby_s: number;
  standbyStarts: number;
}

export interface Plant {
  readonly state: {
    time_s: number;
    level_m: number;
    volume_m3: number;
    riser_m3: number;
    motor: boolean;
    calls: boolean;
    standby: boolean;
    /** Whose turn it is, or was. */
    turn: 1 | 2;
    condition: Condition;
    startedAt_s: number;
    stoppedAt_s: number;
  };
  readonly totals: Totals;
  advanceTo(time_s: number): void;
}

const gravity_ms2 = 9.80665;
const intakeBelowStop_m = 0.05;
const intakeBand_m = 0.01;
const spinDown_s = 0.12;

export function plantOf(options: PlantOptions): Plant {
  const { vessel, inflow, pump, pipe, random, wear, second } = options;
  const fullRiser_m3 = pipe.highPoint_m * pipe.bore_m2;
  const rim_m3 = vessel.volume_m3(options.rim_m);
  const intake_m = options.stopTrip_m - intakeBelowStop_m;
  const changes = [...options.changes].sort((a, b) => a.at_s - b.at_s);
  let nextChange = 0;
  let startTrip_m = trip_m(options.startTrip_m);
  let stopTrip_m = trip_m(options.stopTrip_m);
  let bobsAt_s = Number.POSITIVE_INFINITY;
  let bobbedOff = false;
  const state: Plant["state"] = {
    time_s: 0,
    level_m: options.firstLevel_m,
    volume_m3: vessel.volume_m3(options.firstLevel_m),
    riser_m3: fullRiser_m3,
    motor: false,
    calls: false,
    standby: false,
    turn: options.second === null ? 1 : 2,
    condition: options.first,
    startedAt_s: Number.NEGATIVE_INFINITY,
    stoppedAt_s: Number.NEGATIVE_INFINITY,
  };
  const totals: Totals = {
    inflow_m3: 0,
    pumped_m3: 0,
    returned_m3: 0,
    discharged_m3: 0,
    spilled_m3: 0,
    fullSpeed_m3: 0,
    fullSpeed_s: 0,
    standby_m3: 0,
    standby_s: 0,
    standbyStarts: 0,
  };
  const standby = options.standby ?? null;

  function trip_m(mean_m: number): number {
    return mean_m + options.tripScatter_m * Math.max(-3, Math.min(3, random.normal()));
  }

  function speedAt(time_s: number): number {
    if (state.motor) return Math.tanh((2 * (time_s - state.startedAt_s)) / options.spinUp_s);
    const since_s = time_s - state.stoppedAt_s;
    return since_s < 8 * spinDown_s ? Math.exp(-since_s / spinDown_s) : 0;
  }

  function pumpAt(time_s: number, level_m: number, riser_m3: number): number {
    const speed = speedAt(time_s);
    if (speed === 0) return 0;
    const { headShare, frictionTimes, airFor_s } = state.condition;
    const sound = wear === null || (second !== null && state.turn === 1);
    const worn = sound ? 1 : 1 + (wear.headShare - 1) * share(time_s, wear.from_s, wear.to_s);
    const own = second !== null && state.turn === 2 ? second.headShare : 1;
    const lift_m = Math.max(0, riser_m3 / pipe.bore_m2 - level_m);
    const flow_m3s = pumpFlow_m3s(pump, pipe, lift_m, speed, headShare * worn * own, frictionTimes);
    const drawn = Math.min(1, Math.max(0, (level_m - intake_m) / intakeBand_m));
    return flow_m3s * drawn * (state.motor && time_s - state.startedAt_s < airFor_s ? 0.03 : 1);
  }

  function standbyAt(level_m: number): number {
    if (standby === null || !state.standby) return 0;
    return pumpFlow_m3s(pump, pipe, pipe.highPoint_m - level_m, 1, standby.headShare, 1);
  }

  function turnStandby(): void {
    if (standby === null) return;
    const on = state.standby ? state.level_m > standby.stop_m : state.level_m >= standby.start_m;
    if (on && !state.standby) totals.standbyStarts += 1;
    state.standby = on;
  }

  function returnAt(time_s: number, level_m: number, riser_m3: number): number {
    if (state.motor) return 0;
    const column_m = riser_m3 / pipe.bore_m2 - level_m;
    if (!(column_m > 0)) return 0;
    const { closing_m3, closing_s, leak } = state.condition.valve;
    const since_s = time_s - state.stoppedAt_s;
    const flap_m3s =
      since_s >= 0 && since_s < closing_s
        ? ((closing_m3 * Math.PI) / 2 / closing_s) * Math.sin((Math.PI * since_s) / closing_s)
        : 0;
    if (leak.law === "orifice") return flap_m3s + leak.area_m2 * Math.sqrt(2 * gravity_ms2 * column_m);
    return leak.law === "exponential" ? flap_m3s + (column_m * pipe.bore_m2) / leak.time_s : flap_m3s;
  }

  /** How long a step may be for the midpoint rule to follow what goes on. */
  function longestStep_s(): number {
    if (state.standby || (standby !== null && state.level_m > standby.start_m - 0.02)) return 0.2;
    if (state.motor) {
      if (state.time_s - state.startedAt_s < 3 * options.spinUp_s) return 0.05;
      return state.riser_m3 < fullRiser_m3 || state.level_m < intake_m + 2 * intakeBand_m ? 0.1 : 0.25;
    }
    const since_s = state.time_s - state.stoppedAt_s;
    const { closing_s } = state.condition.valve;
    if (since_s < Math.max(closing_s, 8 * spinDown_s)) return Math.min(0.05, closing_s / 10);
    const back_m3s = returnAt(state.time_s, state.level_m, state.riser_m3);
    if (back_m3s === 0) return 5;
    const column_m3 = state.riser_m3 - state.level_m * pipe.bore_m2;
    return Math.min(5, Math.max(0.05, (0.02 * column_m3) / back_m3s));
  }

  function step(dt_s: number): { level_m: number; commit(): void } {
    const { time_s, volume_m3, riser_m3, level_m } = state;
    const in1 = inflow.flow_m3s(time_s, level_m);
    const out1 = pumpAt(time_s, level_m, riser_m3);
    const back1 = returnAt(time_s, level_m, riser_m3);
    const middle_s = time_s + dt_s / 2;
    const middleRiser_m3 = Math.min(fullRiser_m3, riser_m3 + (out1 - back1) * (dt_s / 2));
    const aside_m3 = standbyAt(level_m) * dt_s;
    const middle_m = vessel.level_m(volume_m3 + (in1 + back1 - out1) * (dt_s / 2) - aside_m3 / 2);
    const in_m3 = inflow.flow_m3s(middle_s, middle_m) * dt_s;
    const out_m3 = pumpAt(middle_s, middle_m, middleRiser_m3) * dt_s;
    const back_m3 = Math.min(riser_m3, returnAt(middle_s, middle_m, middleRiser_m3) * dt_s);
    const end_m3 = volume_m3 + in_m3 + back_m3 - out_m3 - aside_m3;
    return {
      level_m: vessel.level_m(end_m3),
      commit() {
        if (state.motor && riser_m3 >= fullRiser_m3 * 0.9999 && speedAt(time_s) >= 0.98) {
          totals.fullSpeed_m3 += out_m3;
          totals.fullSpeed_s += dt_s;
        }
        totals.inflow_m3 += in_m3;
        totals.pumped_m3 += out_m3;
        totals.returned_m3 += back_m3;
        totals.standby_m3 += aside_m3;
        if (state.standby) totals.standby_s += dt_s;
        const over_m3 = Math.max(0, riser_m3 + out_m3 - back_m3 - fullRiser_m3);
        const spilled_m3 = Math.max(0, end_m3 - rim_m3);
        totals.discharged_m3 += over_m3;
        totals.spilled_m3 += spilled_m3;
        state.riser_m3 = riser_m3 + out_m3 - back_m3 - over_m3;
        state.volume_m3 = end_m3 - spilled_m3;
        state.level_m = vessel.level_m(state.volume_m3);
        state.time_s = time_s + dt_s;
      },
    };
  }

  function setMotor(): void {
    const { condition, calls, motor, time_s } = state;
    const on = calls && !bobbedOff && condition.power && !condition.tripped;
    if (on === motor) return;
    state.motor = on;
    if (on && second !== null) state.turn = state.turn === 1 ? 2 : 1;
    if (on) state.startedAt_s = time_s;
    else state.stoppedAt_s = time_s;
    options.onMotor(time_s, on);
  }

  function setCall(calls: boolean): void {
    state.calls = calls;
    if (calls) stopTrip_m = trip_m(options.stopTrip_m);
    else startTrip_m = trip_m(options.startTrip_m);
    bobbedOff = false;
    bobsAt_s =
      calls && state.condition.float === "chatter" ? state.time_s + random.exponential(4) : Number.POSITIVE_INFINITY;
  }

  function applyChanges(): void {
    for (; nextChange < changes.length && (changes[nextChange]?.at_s ?? 0) <= state.time_s; nextChange++) {
      const before = state.condition.float;
      state.condition = { ...state.condition, ...changes[nextChange]?.set };
      const { float } = state.condition;
      // let go in mid-water, it hangs down
      if (before === "stuck-on" && float === "free") setCall(state.level_m >= startTrip_m);
      if (float === "stuck-on") setCall(true);
      if (float === "stuck-off") setCall(false);
      if (float !== "chatter") {
        bobbedOff = false;
        bobsAt_s = Number.POSITIVE_INFINITY;
      }
    }
  }

  function turnFloat(): void {
    const { float } = state.condition;
    if (float === "stuck-off" || float === "stuck-on") return;
    if (!state.calls && state.level_m >= startTrip_m) setCall(true);
    else if (state.calls && state.level_m <= stopTrip_m) setCall(false);
    if (state.time_s < bobsAt_s) return;
    bobbedOff = !bobbedOff;
    bobsAt_s = state.time_s + random.exponential(bobbedOff ? 2.5 : 4);
  }

  /** The level at which the float turns next; Infinity either way if it cannot. */
  function nextTrip_m(): number {
    const { float } = state.condition;
    if (float === "stuck-off" || float === "stuck-on") return Number.NaN;
    return state.calls ? stopTrip_m : startTrip_m;
  }

  function advanceTo(to_s: number): void {
    while (state.time_s < to_s) {
      applyChanges();
      turnFloat();
      turnStandby();
      setMotor();
      const { time_s, level_m } = state;
      const until_s = Math.min(
        to_s,
        inflow.nextEdge_s(time_s),
        changes[nextChange]?.at_s ?? Number.POSITIVE_INFINITY,
        bobsAt_s,
        time_s + longestStep_s(),
      );
      let taken = step(until_s - time_s);
      const trip = nextTrip_m();
      const crosses = state.calls ? taken.level_m < trip && level_m > trip : taken.level_m > trip && level_m < trip;
      if (crosses) {
        const part = (trip - level_m) / (taken.level_m - level_m);
        // a hair beyond, so that the float turns at the step's end
        taken = step(Math.max(1e-6, part * (until_s - time_s) * (1 + 1e-9)));
      }
      taken.commit();
      if (state.time_s > until_s - 1e-9 && !crosses) state.time_s = until_s;
    }
    applyChanges();
    turnFloat();
    setMotor();
  }

  return { state, totals, advanceTo };
}

function share(time_s: number, from_s: number, to_s: number): number {
  return Math.min(1, Math.max(0, (time_s - from_s) / (to_s - from_s)));
}
