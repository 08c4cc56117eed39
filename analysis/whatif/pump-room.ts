// Floats, mains, battery and motors in a replay: which pump runs on what, and since when. Where the water stands it is told.

import type { ReplayInstallation, RunsOn } from "./installation.ts";
import type { PumpMode } from "./level-grid.ts";
import { mostInAnHour, type ReplayOutcome } from "./outcome.ts";
import type { PowerCut } from "./power-cuts.ts";

export interface PumpRoom {
  /** Pumps that are up to speed, as levelGrid names them. */
  readonly mode: PumpMode;
  /** Bits of the pumps that run, up to speed or not. */
  readonly running: number;
  /** The floats' and the supply's word at a moment. @returns whether the last running pump has just stopped */
  settle(time_s: number, level_m: number): boolean;
  /** A float is up from the beginning. */
  call(role: number): void;
  /** All floats hang down. */
  rest(): void;
  /** The next moment at which something changes by itself. */
  nextEvent_s(time_s: number): number;
  /** So much time has gone by, with everything as it was last settled. */
  pass(dt_s: number): void;
  outcome(
    origin_s: number,
  ): Pick<
    ReplayOutcome,
    | "starts"
    | "mostStartsInAnHour"
    | "run_s"
    | "powerCut_s"
    | "batteryEmpty_s"
    | "batteryEmptyFrom_s"
    | "energy_j"
    | "batteryEnergy_j"
    | "pumps"
  >;
}

/** Once empty, a battery is of use again from this share of its charge on; common practice, no source. */
const usable = 0.1;

/** @param cuts in order, from the replay's beginning */
export function pumpRoom(installation: ReplayInstallation, cuts: readonly PowerCut[]): PumpRoom {
  const { pumps, battery, spinUp_s, takesTurns } = installation;
  const count = pumps.length;
  const calls = pumps.map(() => false);
  const runs: (RunsOn | null)[] = pumps.map(() => null);
  const atSpeedFrom_s = pumps.map(() => 0);
  const startTimes_s: number[][] = pumps.map(() => []);
  const runTimes_s: number[] = [];
  const run_s = pumps.map(() => 0);
  const onBattery_s = pumps.map(() => 0);
  const drains = pumps.findIndex(({ supply }) => supply !== "mains");
  const full_s = battery?.runTime_s ?? 0;
  const regained_ss = battery?.regained_ss ?? 0;
  const idle_ss = battery?.idle_ss ?? 0;
  let turn = 0;
  let cut = 0;
  let mainsOn = true;
  let stored_s = full_s;
  const works = full_s >= least_s;
  let empty = battery !== null && !works;
  let running = 0;
  let mode: PumpMode = 0;
  let anyRun_s = 0;
  let powerCut_s = 0;
  let emptyInCut_s = 0;
  let emptyFrom_s: number | null = null;
  let now_s = 0;

  function settle(time_s: number, level_m: number): boolean {
    now_s = time_s;
    while (cut < cuts.length && (cuts[cut] as PowerCut).to_s <= time_s) cut += 1;
    mainsOn = !(cut < cuts.length && (cuts[cut] as PowerCut).from_s <= time_s);
    settleBattery();
    for (let role = 0; role < count; role += 1) {
      const { startLevel_m, stopLevel_m } = pumps[role] as (typeof pumps)[0];
      if (!calls[role]) calls[role] = level_m >= startLevel_m;
      else if (level_m <= stopLevel_m) {
        calls[role] = false;
        if (takesTurns && role === 0) turn = 1 - turn;
      }
    }
    const before = running;
    running = 0;
    mode = 0;
    for (let pump = 0; pump < count; pump += 1) settlePump(pump, time_s);
    if (before === 0 && running !== 0) runTimes_s.push(time_s);
    return before !== 0 && running === 0;
  }

  function settlePump(pump: number, time_s: number): void {
    const feed = calls[takesTurns ? (pump + turn) % count : pump] ? feedOf(pump) : null;
    if (feed !== null && runs[pump] === null) {
      (startTimes_s[pump] as number[]).push(time_s);
      atSpeedFrom_s[pump] = time_s + spinUp_s;
    }
    runs[pump] = feed;
    if (feed === null) return;
    running |= 1 << pump;
    if (time_s >= (atSpeedFrom_s[pump] as number)) mode += (feed === "mains" ? 1 : 2) * 3 ** pump;
  }

  function feedOf(pump: number): RunsOn | null {
    const { supply } = pumps[pump] as (typeof pumps)[0];
    if (mainsOn && supply !== "battery") return "mains";
    return supply !== "mains" && !empty ? "battery" : null;
  }

  function settleBattery(): void {
    if (battery === null) return;
    if (!empty && stored_s <= nothing_s) {
      empty = true;
      stored_s = 0;
      emptyFrom_s ??= now_s;
    } else if (empty && works && stored_s >= usable * full_s - nothing_s) empty = false;
  }

  /** Per second; above 0 while it is charged. */
  function gain_ss(): number {
    const draws = drains >= 0 && runs[drains] === "battery";
    return (mainsOn ? regained_ss : 0) - (draws ? 1 : mainsOn || empty ? 0 : idle_ss);
  }

  function nextEvent_s(time_s: number): number {
    let next_s = Number.POSITIVE_INFINITY;
    const nextCut = cuts[cut];
    if (nextCut !== undefined) next_s = nextCut.from_s > time_s ? nextCut.from_s : nextCut.to_s;
    for (let pump = 0; pump < count; pump += 1) {
      const at_s = atSpeedFrom_s[pump] as number;
      if (runs[pump] !== null && at_s > time_s && at_s < next_s) next_s = at_s;
    }
    if (battery === null) return next_s;
    const gain = gain_ss();
    if (gain < 0 && !empty) next_s = Math.min(next_s, time_s + stored_s / -gain);
    if (gain > 0 && empty && works) next_s = Math.min(next_s, time_s + (usable * full_s - stored_s) / gain);
    return next_s;
  }

  function pass(dt_s: number): void {
    if (running !== 0) anyRun_s += dt_s;
    for (let pump = 0; pump < count; pump += 1) {
      if (runs[pump] === null) continue;
      run_s[pump] = (run_s[pump] as number) + dt_s;
      if (runs[pump] === "battery") onBattery_s[pump] = (onBattery_s[pump] as number) + dt_s;
    }
    if (!mainsOn) {
      powerCut_s += dt_s;
      if (empty) emptyInCut_s += dt_s;
    }
    if (battery !== null) stored_s = Math.min(full_s, Math.max(0, stored_s + gain_ss() * dt_s));
  }

  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);

  return {
    get mode() {
      return mode;
    },
    get running() {
      return running;
    },
    settle,
    call(role) {
      calls[role] = true;
    },
    rest: () => calls.fill(false),
    nextEvent_s,
    pass,
    outcome: (origin_s) => ({
      starts: runTimes_s.length,
      mostStartsInAnHour: mostInAnHour(runTimes_s),
      run_s: anyRun_s,
      powerCut_s,
      batteryEmpty_s: battery === null ? null : emptyInCut_s,
      batteryEmptyFrom_s: emptyFrom_s === null ? null : origin_s + emptyFrom_s,
      energy_j: pumps.some(({ power_w, supply }) => power_w === null && supply !== "battery")
        ? null
        : sum(pumps.map(({ power_w }, i) => (power_w ?? 0) * ((run_s[i] ?? 0) - (onBattery_s[i] ?? 0)))),
      batteryEnergy_j: battery?.power_w == null ? null : battery.power_w * sum(onBattery_s),
      pumps: pumps.map(({ name }, i) => ({
        name,
        starts: startTimes_s[i]?.length ?? 0,
        mostStartsInAnHour: mostInAnHour(startTimes_s[i] ?? []),
        run_s: run_s[i] ?? 0,
        runOnBattery_s: onBattery_s[i] ?? 0,
      })),
    }),
  };
}

/** Less than a microsecond of running left is none. */
const nothing_s = 1e-6;
/** What runs a pump for less than this runs none. */
const least_s = 1;
