// Writes down what truly happened: every run and rest with its water, the highest inflow over rolling windows, and when a
// state was true that a finding speaks of. Sees the plant, never the readings.

import type { FindingKind } from "../../analysis/findings/finding.ts";
import type { Site } from "../../analysis/site.ts";
import type { Plant, PumpSet, SecondPump } from "./plant.ts";

export interface TrueCycle {
  readonly startedAt_s: number;
  readonly stoppedAt_s: number;
  /** From the stop before; null for the first. */
  readonly rest_s: number | null;
  /** Mean over that rest, returned water left out. */
  readonly restInflow_m3s: number | null;
  /** With the same pumps running all along each, in their order; of one pump the whole run. */
  readonly parts: readonly RunPart[];
  /** Came back in the rest after the run; null when the recording ends before the next start. */
  readonly returned_m3: number | null;
}

export interface RunPart {
  readonly set: PumpSet;
  readonly run_s: number;
  /** Mean through the pumps, up to speed and with a full riser; null when they never got there for a second. */
  readonly rate_m3s: number | null;
}

/** `clear`: the finding must be made. `allowed`: it may be made; whoever makes it elsewhere cries wolf. */
export interface TrueState {
  readonly kind: FindingKind;
  readonly certainty: "clear" | "allowed";
  readonly from_s: number;
  readonly to_s: number;
}

export interface Witness {
  pumps(time_s: number, set: PumpSet): void;
  /** To be called every `tick_s`. */
  tick(): void;
  cycles(): readonly TrueCycle[];
  states(): TrueState[];
  peak_m3s(): Readonly<Record<"60" | "600" | "3600", number>>;
}

export const tick_s = 2;
const hour_s = 3600;

interface Begun {
  readonly startedAt_s: number;
  readonly stoppedAt_s: number;
  readonly rest_s: number | null;
  readonly restInflow_m3s: number | null;
  readonly parts: readonly RunPart[];
  readonly returnedBefore_m3: number;
}

/** @param trips where the floats turn: a site file may be off, and no float sticks for that */
export function witnessOf(plant: Plant, site: Site, trips: TrueTrips, second: SecondPump | null): Witness {
  const cycles: TrueCycle[] = [];
  const { state, totals } = plant;
  const inflows = rollingMeans([60, 600, 3600]);
  const truths = trueStates(site, trips, second);
  let open: {
    startedAt_s: number;
    rest_s: number | null;
    restInflow_m3s: number | null;
    parts: RunPart[];
  } | null = null;
  const part = { set: 0 as PumpSet, from_s: 0, full_m3: 0, full_s: 0 };
  let ended: Begun | null = null;
  let stopInflow_m3 = 0;

  function pumps(time_s: number, set: PumpSet): void {
    if (open !== null) open.parts.push(endPart(time_s));
    beginPart(time_s, set);
    truths.pumps(time_s, set);
    if (set === 0) stop(time_s);
    else if (open === null) start(time_s);
  }

  function beginPart(time_s: number, set: PumpSet): void {
    const { volume_m3, time_s: full_s } = totals.fullSpeed[set] ?? { volume_m3: 0, time_s: 0 };
    Object.assign(part, { set, from_s: time_s, full_m3: volume_m3, full_s });
  }

  function endPart(time_s: number): RunPart {
    const full = totals.fullSpeed[part.set] ?? { volume_m3: 0, time_s: 0 };
    const full_s = full.time_s - part.full_s;
    const rate_m3s = full_s >= 1 ? (full.volume_m3 - part.full_m3) / full_s : null;
    return { set: part.set, run_s: time_s - part.from_s, rate_m3s };
  }

  function start(time_s: number): void {
    if (ended !== null) cycles.push(finished(ended, totals.returned_m3 - ended.returnedBefore_m3));
    const rest_s = ended === null ? null : time_s - ended.stoppedAt_s;
    const restInflow_m3s = rest_s === null ? null : (totals.inflow_m3 - stopInflow_m3) / rest_s;
    open = { startedAt_s: time_s, rest_s, restInflow_m3s, parts: [] };
    ended = null;
  }

  function stop(time_s: number): void {
    if (open === null) return;
    ended = { ...open, stoppedAt_s: time_s, returnedBefore_m3: totals.returned_m3 };
    truths.stop(time_s - open.startedAt_s, open.parts);
    stopInflow_m3 = totals.inflow_m3;
    open = null;
  }

  return {
    pumps,
    tick() {
      inflows.add(totals.inflow_m3);
      truths.tick(state.time_s, state.level_m, state.condition.power, inflows.highest(600));
    },
    cycles: () => (ended === null ? cycles : [...cycles, finished(ended, null)]),
    states: () => truths.found(state.time_s),
    peak_m3s: () => ({ 60: inflows.highest(60), 600: inflows.highest(600), 3600: inflows.highest(3600) }),
  };
}

function finished({ returnedBefore_m3: _, ...cycle }: Begun, returned_m3: number | null): TrueCycle {
  return { ...cycle, returned_m3 };
}

/** What ran all along; null of a run whose pumps changed. */
export function rateOf({ parts: [first, ...others] }: Pick<TrueCycle, "parts">): number | null {
  return others.length > 0 ? null : (first?.rate_m3s ?? null);
}

/** The highest means of a running sum over windows, from a ring of the last hour. */
function rollingMeans(windows_s: readonly number[]) {
  const size = hour_s / tick_s + 1;
  const ring = new Float64Array(size);
  const highest = new Map(windows_s.map((window_s) => [window_s, 0]));
  let count = 0;
  return {
    add(sum: number) {
      ring[count % size] = sum;
      for (const window_s of windows_s) {
        const back = window_s / tick_s;
        if (count < back) continue;
        const mean = (sum - (ring[(count - back) % size] as number)) / window_s;
        if (mean > (highest.get(window_s) ?? 0)) highest.set(window_s, mean);
      }
      count += 1;
    },
    highest: (window_s: number) => highest.get(window_s) ?? 0,
  };
}

/** Where a clear state begins and where it might begin, kept apart by more than a good sensor's error. */
const margins = { level_m: 0.005, nearly_m: 0.02 };

interface TrueTrips {
  readonly start_m: number;
  readonly stop_m: number;
}

function trueStates(site: Site, trips: TrueTrips, second: SecondPump | null) {
  const { basin, pump, design } = site;
  const high_m = basin.highLevel_m ?? Number.POSITIVE_INFINITY;
  const start_m = Math.max(basin.startLevel_m ?? Number.POSITIVE_INFINITY, trips.start_m);
  const stop_m = Math.min(basin.stopLevel_m ?? Number.NEGATIVE_INFINITY, trips.stop_m);
  const mostStarts = pump?.maxStartsPerHour ?? Number.POSITIVE_INFINITY;
  const minRun_s = pump?.minRun_s ?? 0;
  const states: TrueState[] = [];
  const pair = (kind: FindingKind, clear_s: number, allowed_s: number) => [
    stretch(kind, "clear", clear_s, states),
    stretch(kind, "allowed", allowed_s, states),
  ];
  const high = pair("high-water", 15, 0);
  const stuckOff = pair("float-stuck-off", 60, 10);
  const stuckOn = pair("float-stuck-on", 150, 30);
  const exceeds = pair("inflow-exceeds-pump", 60, 0);
  const short = pair("short-cycling", 0, 0);
  const small = pair("undersized", 0, 0);
  const minuteAgo = new Float64Array(60 / tick_s);
  /** Of each pump, and what each moved alone. */
  const starts: readonly [number[], number[]] = [[], []];
  const rates: readonly [number[], number[]] = [[], []];
  /** All that can run at once. */
  const all: readonly PumpSet[] = second?.helps === undefined ? [1, 2] : [3];
  let ticks = 0;
  let set: PumpSet = 0;
  let allSince_s = Number.POSITIVE_INFINITY;
  let shortRuns = 0;
  let fairlyShortRuns = 0;

  const feed = (both: ReturnType<typeof pair>, time_s: number, clear: boolean, allowed: boolean) => {
    both[0]?.feed(time_s, clear);
    both[1]?.feed(time_s, allowed);
  };

  return {
    pumps(time_s: number, next: PumpSet) {
      for (const pump of [1, 2] as const) if (runs(next, pump) && !runs(set, pump)) starts[pump - 1]?.push(time_s);
      if (!all.includes(next)) allSince_s = Number.POSITIVE_INFINITY;
      else if (!all.includes(set)) allSince_s = time_s;
      set = next;
    },
    stop(run_s: number, parts: readonly RunPart[]) {
      shortRuns = run_s < 0.8 * minRun_s ? shortRuns + 1 : 0;
      fairlyShortRuns = run_s < 1.2 * minRun_s + 2 ? fairlyShortRuns + 1 : 0;
      for (const { set: ran, rate_m3s } of parts) {
        const own = ran === 1 ? rates[0] : ran === 2 ? rates[1] : null;
        if (own === null || rate_m3s === null) continue;
        own.push(rate_m3s);
        if (own.length > 10) own.shift();
      }
    },
    tick(time_s: number, level_m: number, power: boolean, peak600_m3s: number) {
      const before_m = minuteAgo[ticks % minuteAgo.length] as number;
      minuteAgo[ticks % minuteAgo.length] = level_m;
      ticks += 1;
      const rise_m = time_s - allSince_s > 60 ? level_m - before_m : 0;
      for (const own of starts) while ((own[0] ?? time_s) <= time_s - hour_s) own.shift();
      const most = Math.max(starts[0].length, starts[1].length);
      const motor = set !== 0;
      feed(high, time_s, level_m >= high_m + margins.level_m, level_m >= high_m - margins.nearly_m);
      const stands = !motor && power;
      feed(stuckOff, time_s, stands && level_m >= start_m + 0.04, !motor && level_m >= start_m + 0.005);
      feed(stuckOn, time_s, motor && level_m <= stop_m - 0.012, motor && level_m <= stop_m + 0.004);
      feed(exceeds, time_s, rise_m >= 0.008, rise_m >= 0.0005);
      feed(short, time_s, most >= mostStarts + 2 || shortRuns >= 8, most >= mostStarts || fairlyShortRuns >= 4);
      const counted = second?.takesTurns === false ? [rates[0]] : rates.filter((own) => own.length > 0);
      const rate = Math.min(...counted.map(mean));
      const known = counted.length > 0 && counted.every((own) => own.length >= 5);
      const need_m3s = peak600_m3s * design.inflowFactor;
      feed(small, time_s, known && need_m3s > 1.08 * rate, need_m3s > 0.9 * rate);
    },
    found(end_s: number) {
      for (const [clear, allowed] of [high, stuckOff, stuckOn, exceeds, short, small]) {
        clear?.feed(end_s, false);
        allowed?.feed(end_s, false);
      }
      return states;
    },
  };
}

function runs(set: PumpSet, pump: 1 | 2): boolean {
  return set === pump || set === 3;
}

function mean(values: readonly number[]): number {
  return values.length === 0 ? Number.NaN : values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Notes each stretch of time in which something held for at least `least_s`. */
function stretch(kind: FindingKind, certainty: TrueState["certainty"], least_s: number, states: TrueState[]) {
  let from_s: number | null = null;
  return {
    feed(time_s: number, holds: boolean) {
      if (holds) from_s ??= time_s;
      else {
        if (from_s !== null && time_s - from_s >= least_s) states.push({ kind, certainty, from_s, to_s: time_s });
        from_s = null;
      }
    },
  };
}
