// The water itself: basin, floats, pump, check valve and riser, in small steps that end exactly where a float turns, a
// pulse begins or something breaks. Second-order midpoint rule; every litre is booked.

import { coasts_s, motorOf } from "./motor.ts";
import { type PipeLaw, type PumpLaw, pumpFlow_m3s, togetherFlow_m3s } from "./pump-law.ts";
import type { Random } from "./random.ts";
import type { ValveLaw } from "./valve-law.ts";
import type { Vessel } from "./vessel.ts";
import type { Inflow } from "./weather.ts";

/** What may change in the course of a recording. */
export interface Condition {
  readonly power: boolean;
  readonly tripped: boolean;
  /** Of two pumps this one does not start; its float goes up and down as ever. */
  readonly deadPump: 1 | 2 | null;
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
  readonly second: SecondPump | null;
  /**
   * Another pump on a battery, with a float and a discharge of its own: it stands by until the water comes up to its float
   * and needs no mains. It has this share of the first one's head.
   */
  readonly standby?: { readonly start_m: number; readonly stop_m: number; readonly headShare: number } | null;
  readonly firstLevel_m: number;
  readonly random: Random;
  /** From `time_s` on this set of pumps runs. */
  readonly onPumps: (time_s: number, set: PumpSet) => void;
}

/** None, the first pump, the second, or both. */
export type PumpSet = 0 | 1 | 2 | 3;

/** On the first one's pipe, behind a check valve of its own; wear is then its alone. */
export interface SecondPump {
  /** Of the first one's head. */
  readonly headShare: number;
  /** It is called in every other run in place of the first, unless it only helps. */
  readonly takesTurns?: boolean;
  /** At this level the pump that rests is called beside the other, down to `stop_m`. */
  readonly helps?: { readonly start_m: number; readonly stop_m: number };
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
  /** Of each of two pumps. */
  readonly starts: [number, number];
  /** Through the pumps, and time, with all that run up to speed and the riser full: by the set that runs. */
  readonly fullSpeed: readonly { volume_m3: number; time_s: number }[];
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
    set: PumpSet;
    calls: boolean;
    /** The float's own contact: while it bobs at its trip point it opens. */
    contact: boolean;
    standby: boolean;
    /** Whose turn it is, or was. */
    turn: 1 | 2;
    condition: Condition;
    /** When the water last began to be pumped, and when that ended. */
    startedAt_s: number;
    stoppedAt_s: number;
    /** When each pump was last switched on or off. */
    readonly switchedAt_s: [first_s: number, second_s: number];
  };
  readonly totals: Totals;
  advanceTo(time_s: number): void;
}

const gravity_ms2 = 9.80665;
const intakeBelowStop_m = 0.05;
const intakeBand_m = 0.01;

export function plantOf(options: PlantOptions): Plant {
  const { vessel, inflow, pump, pipe, random, wear, second } = options;
  const fullRiser_m3 = pipe.highPoint_m * pipe.bore_m2;
  const rim_m3 = vessel.volume_m3(options.rim_m);
  const intake_m = options.stopTrip_m - intakeBelowStop_m;
  const takesTurns = second?.takesTurns ?? second !== null;
  const changes = [...options.changes].sort((a, b) => a.at_s - b.at_s);
  let nextChange = 0;
  let startTrip_m = trip_m(options.startTrip_m);
  let stopTrip_m = trip_m(options.stopTrip_m);
  let bobsAt_s = Number.POSITIVE_INFINITY;
  let bobbedOff = false;
  let leads = false;
  let helpCalls = false;
  let helpStart_m = second?.helps === undefined ? Number.NaN : trip_m(second.helps.start_m);
  let helpStop_m = second?.helps === undefined ? Number.NaN : trip_m(second.helps.stop_m);
  const motors = [motorOf(options.spinUp_s), motorOf(options.spinUp_s)] as const;
  const state: Plant["state"] = {
    time_s: 0,
    level_m: options.firstLevel_m,
    volume_m3: vessel.volume_m3(options.firstLevel_m),
    riser_m3: fullRiser_m3,
    set: 0,
    calls: false,
    contact: false,
    standby: false,
    turn: takesTurns ? 2 : 1,
    condition: options.first,
    startedAt_s: Number.NEGATIVE_INFINITY,
    stoppedAt_s: Number.NEGATIVE_INFINITY,
    switchedAt_s: [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY],
  };
  const totals: Totals = {
    inflow_m3: 0,
    pumped_m3: 0,
    returned_m3: 0,
    discharged_m3: 0,
    spilled_m3: 0,
    starts: [0, 0],
    fullSpeed: [0, 1, 2, 3].map(() => ({ volume_m3: 0, time_s: 0 })),
    standby_m3: 0,
    standby_s: 0,
    standbyStarts: 0,
  };
  const standby = options.standby ?? null;

  function trip_m(mean_m: number): number {
    return mean_m + options.tripScatter_m * Math.max(-3, Math.min(3, random.normal()));
  }

  /** The head that this pump still has, as a share of a new first one's. */
  function headShareOf(pump: 1 | 2, time_s: number): number {
    const sound = wear === null || (second !== null && pump === 1);
    const worn = sound ? 1 : 1 + (wear.headShare - 1) * share(time_s, wear.from_s, wear.to_s);
    return state.condition.headShare * worn * (second !== null && pump === 2 ? second.headShare : 1);
  }

  function pumpAt(time_s: number, level_m: number, riser_m3: number): number {
    const speeds = [motors[0].speedAt(time_s), motors[1].speedAt(time_s)] as const;
    if (speeds[0] === 0 && speeds[1] === 0) return 0;
    const { frictionTimes, airFor_s } = state.condition;
    const lift_m = Math.max(0, riser_m3 / pipe.bore_m2 - level_m);
    const one = speeds[0] === 0 ? 2 : 1;
    const flow_m3s =
      speeds[0] > 0 && speeds[1] > 0
        ? togetherFlow_m3s(pump, pipe, lift_m, speeds, [headShareOf(1, time_s), headShareOf(2, time_s)], frictionTimes)
        : pumpFlow_m3s(pump, pipe, lift_m, speeds[one - 1], headShareOf(one, time_s), frictionTimes);
    const drawn = Math.min(1, Math.max(0, (level_m - intake_m) / intakeBand_m));
    return flow_m3s * drawn * (state.set !== 0 && time_s - state.startedAt_s < airFor_s ? 0.03 : 1);
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
    if (state.set !== 0) return 0;
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
    if (state.set !== 0) {
      if (motors.some((motor) => motor.changesSpeedAt(state.time_s))) return 0.05;
      return state.riser_m3 < fullRiser_m3 || state.level_m < intake_m + 2 * intakeBand_m ? 0.1 : 0.25;
    }
    const since_s = state.time_s - state.stoppedAt_s;
    const { closing_s } = state.condition.valve;
    if (since_s < Math.max(closing_s, coasts_s)) return Math.min(0.05, closing_s / 10);
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
        const full = totals.fullSpeed[state.set];
        if (
          full !== undefined &&
          state.set !== 0 &&
          riser_m3 >= fullRiser_m3 * 0.9999 &&
          motors.every((motor) => motor.isSteadyAt(time_s))
        ) {
          full.volume_m3 += out_m3;
          full.time_s += dt_s;
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

  function setMotors(): void {
    const { condition, calls, time_s, set: before } = state;
    const supplied = condition.power && !condition.tripped;
    state.contact = calls && !bobbedOff;
    const called = state.contact && supplied;
    if (called && !leads && takesTurns) state.turn = state.turn === 1 ? 2 : 1;
    leads = called;
    for (const pump of [1, 2] as const) {
      const calledNow = pump === state.turn ? called : helpCalls && supplied;
      const on = calledNow && condition.deadPump !== pump;
      const own = pump === 1 ? 0 : 1;
      if (!motors[own].turn(on, time_s)) continue;
      state.switchedAt_s[own] = time_s;
      if (on) totals.starts[own] += 1;
    }
    const set = ((motors[0].isOn() ? 1 : 0) + (motors[1].isOn() ? 2 : 0)) as PumpSet;
    if (set === before) return;
    state.set = set;
    if (before === 0) state.startedAt_s = time_s;
    if (set === 0) state.stoppedAt_s = time_s;
    options.onPumps(time_s, set);
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
    turnHelp();
    const { float } = state.condition;
    if (float === "stuck-off" || float === "stuck-on") return;
    if (!state.calls && state.level_m >= startTrip_m) setCall(true);
    else if (state.calls && state.level_m <= stopTrip_m) setCall(false);
    if (state.time_s < bobsAt_s) return;
    bobbedOff = !bobbedOff;
    bobsAt_s = state.time_s + random.exponential(bobbedOff ? 2.5 : 4);
  }

  function turnHelp(): void {
    if (second?.helps === undefined) return;
    if (!helpCalls && state.level_m >= helpStart_m) {
      helpCalls = true;
      helpStop_m = trip_m(second.helps.stop_m);
    } else if (helpCalls && state.level_m <= helpStop_m) {
      helpCalls = false;
      helpStart_m = trip_m(second.helps.start_m);
    }
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
      setMotors();
      const { time_s, level_m } = state;
      const until_s = Math.min(
        to_s,
        inflow.nextEdge_s(time_s),
        changes[nextChange]?.at_s ?? Number.POSITIVE_INFINITY,
        bobsAt_s,
        time_s + longestStep_s(),
      );
      let taken = step(until_s - time_s);
      const parts = [
        partTo(state.calls, nextTrip_m(), level_m, taken.level_m),
        partTo(helpCalls, helpCalls ? helpStop_m : helpStart_m, level_m, taken.level_m),
      ];
      const part = Math.min(...parts);
      const crosses = part <= 1;
      // a hair beyond, so that the float turns at the step's end
      if (crosses) taken = step(Math.max(1e-6, part * (until_s - time_s) * (1 + 1e-9)));
      taken.commit();
      if (state.time_s > until_s - 1e-9 && !crosses) state.time_s = until_s;
    }
    applyChanges();
    turnFloat();
    setMotors();
  }

  return { state, totals, advanceTo };
}

/** The part of a step after which the level meets the trip, going down to it where it calls; Infinity when it does not. */
function partTo(calls: boolean, trip_m: number, from_m: number, to_m: number): number {
  const crosses = calls ? to_m < trip_m && from_m > trip_m : to_m > trip_m && from_m < trip_m;
  return crosses ? (trip_m - from_m) / (to_m - from_m) : Number.POSITIVE_INFINITY;
}

function share(time_s: number, from_s: number, to_s: number): number {
  return Math.min(1, Math.max(0, (time_s - from_s) / (to_s - from_s)));
}
