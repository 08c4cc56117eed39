// A basin in plain steps of a twentieth of a second, parted where a float turns: the other way to the figures of a
// replay, sharing nothing with it.
// Friction is by Serghides' explicit formula (Chemical Engineering, March 1984), the pump's curve a parabola.

export interface Trial {
  /** m³/s at a time, and at a level where the ground holds back. */
  readonly inflow_m3s: (time_s: number, level_m: number) => number;
  readonly duration_s: number;
  /** Rows of level and volume, both rising; straight between. */
  readonly vessel: readonly (readonly [level_m: number, volume_m3: number])[];
  readonly rim_m: number;
  readonly high_m: number;
  readonly firstLevel_m: number;
  readonly pumps: readonly TrialPump[];
  readonly pipe: TrialPipe;
  readonly cuts: readonly (readonly [from_s: number, to_s: number])[];
  /** Seconds of running that the battery holds, and what a second of mains gives back. */
  readonly battery?: { readonly runTime_s: number; readonly regained_ss: number };
  readonly returned?: { readonly volume_m3: number; readonly duration_s: number };
  /** Nothing is moved for so long after a start. */
  readonly dead_s?: number;
}

export interface TrialPump {
  readonly start_m: number;
  readonly stop_m: number;
  readonly supply: "mains" | "battery" | "either";
  /** Head at no flow, and what is lost of it per (m³/s)². */
  readonly shutOff_m: number;
  readonly fall_s2m5: number;
}

export interface TrialPipe {
  readonly highPoint_m: number;
  readonly bore_m: number;
  readonly length_m: number;
  readonly roughness_m: number;
  /** Of everything that is fitted in, the exit included. */
  readonly k: number;
}

export interface Tried {
  readonly highest_m: number;
  readonly starts: readonly number[];
  readonly run_s: readonly number[];
  readonly aboveHigh_s: number;
  readonly spilled_m3: number;
  readonly spilledFrom_s: number | null;
  readonly batteryEmpty_s: number;
}

const step_s = 0.05;
const gravity_ms2 = 9.80665;
const viscosity_m2s = 1.3065e-6; // water at 10 °C

export function trial(given: Trial): Tried {
  const { pumps, pipe, rim_m, cuts, vessel } = given;
  const volumeAt = between(vessel, 0, 1);
  const levelAt = between(vessel, 1, 0);
  const flowOf = flowTable(pumps, pipe, rim_m);
  const rim_m3 = volumeAt(rim_m);
  let volume_m3 = volumeAt(given.firstLevel_m);
  let level_m = given.firstLevel_m;
  let highest_m = level_m;
  const calls = pumps.map(() => false);
  const onFor_s = pumps.map(() => -1);
  const starts = pumps.map(() => 0);
  const run_s = pumps.map(() => 0);
  let stored_s = given.battery?.runTime_s ?? 0;
  let empty = stored_s <= 0;
  let back_s = 0;
  let aboveHigh_s = 0;
  let batteryEmpty_s = 0;
  let spilled_m3 = 0;
  let spilledFrom_s: number | null = null;

  /** All that the floats and the supply say now; a bit for each pump that moves water. */
  function decide(mains: boolean): number {
    const ranBefore = onFor_s.some((seconds) => seconds >= 0);
    let set = 0;
    for (let p = 0; p < pumps.length; p += 1) {
      const pump = pumps[p] as TrialPump;
      if (level_m >= pump.start_m) calls[p] = true;
      else if (level_m <= pump.stop_m) calls[p] = false;
      if (!calls[p] || fedBy(pump, mains) === null) onFor_s[p] = -1;
      else if ((onFor_s[p] as number) < 0) {
        onFor_s[p] = 0;
        starts[p] = (starts[p] as number) + 1;
      }
      if ((onFor_s[p] as number) >= (given.dead_s ?? 0)) set |= 1 << p;
    }
    const runs = onFor_s.some((seconds) => seconds >= 0);
    if (runs) back_s = 0;
    else if (ranBefore) back_s = given.returned?.duration_s ?? 0;
    return set;
  }

  function fedBy({ supply }: TrialPump, mains: boolean): "mains" | "battery" | null {
    if (mains && supply !== "battery") return "mains";
    return supply !== "mains" && !empty ? "battery" : null;
  }

  /** The share of a step after which a float turns; 1: none does. */
  function untilTurn(next_m: number): number {
    let share = 1;
    for (let p = 0; p < pumps.length; p += 1) {
      const { start_m, stop_m } = pumps[p] as TrialPump;
      const turn_m = calls[p] ? stop_m : start_m;
      const turns = calls[p] ? level_m > turn_m && next_m < turn_m : level_m < turn_m && next_m > turn_m;
      if (turns) share = Math.min(share, (turn_m - level_m) / (next_m - level_m));
    }
    return share;
  }

  /** A float that has turned has turned: rounding must not leave the water a hair below it. */
  function floatNear(at_m: number): number {
    const marks_m = pumps.flatMap(({ start_m, stop_m }) => [start_m, stop_m]);
    return marks_m.find((mark_m) => Math.abs(mark_m - at_m) < 1e-9) ?? at_m;
  }

  for (let i = 0; i * step_s < given.duration_s; i += 1) {
    const time_s = i * step_s;
    const mains = !cuts.some(([from_s, to_s]) => from_s <= time_s && time_s < to_s);
    for (let left_s = step_s; left_s > 1e-12; ) {
      const set = decide(mains);
      const returned_m3s = back_s > 1e-9 && given.returned ? given.returned.volume_m3 / given.returned.duration_s : 0;
      const inflow_m3s = given.inflow_m3s(time_s + step_s / 2, level_m);
      const net_m3s = inflow_m3s + returned_m3s - flowOf(set, level_m);
      const next_m = levelAt(volume_m3 + net_m3s * left_s);
      const share = untilTurn(next_m);
      const dt_s = share * left_s;
      volume_m3 += net_m3s * dt_s;
      if (volume_m3 > rim_m3) {
        spilled_m3 += volume_m3 - rim_m3;
        spilledFrom_s ??= time_s;
        volume_m3 = rim_m3;
      }
      level_m = share < 1 ? floatNear(levelAt(volume_m3)) : levelAt(volume_m3);
      left_s -= dt_s;
      count(dt_s, mains);
    }
  }

  function count(dt_s: number, mains: boolean): void {
    back_s -= dt_s;
    highest_m = Math.max(highest_m, level_m);
    if (level_m >= given.high_m) aboveHigh_s += dt_s;
    let drawn = false;
    for (let p = 0; p < pumps.length; p += 1) {
      if ((onFor_s[p] as number) < 0) continue;
      onFor_s[p] = (onFor_s[p] as number) + dt_s;
      run_s[p] = (run_s[p] as number) + dt_s;
      if (fedBy(pumps[p] as TrialPump, mains) === "battery") drawn = true;
    }
    if (!given.battery) return;
    const { runTime_s, regained_ss } = given.battery;
    stored_s = Math.min(runTime_s, stored_s + dt_s * ((mains ? regained_ss : 0) - (drawn ? 1 : 0)));
    if (stored_s <= 1e-9) empty = true;
    else if (stored_s >= 0.1 * runTime_s) empty = false;
    stored_s = Math.max(0, stored_s);
    if (empty && !mains) batteryEmpty_s += dt_s;
  }

  return { highest_m, starts, run_s, aboveHigh_s, spilled_m3, spilledFrom_s, batteryEmpty_s };
}

/** Flow of each set of pumps against the level, worked out by halving on a fine table. */
function flowTable(pumps: readonly TrialPump[], pipe: TrialPipe, rim_m: number) {
  const rows = 400;
  const tables: Float64Array[] = [];
  const meet = (set: number, level_m: number) => {
    const given = (head_m: number) =>
      pumps.reduce(
        (sum, { shutOff_m, fall_s2m5 }, p) =>
          sum + (set & (1 << p) ? Math.sqrt(Math.max(0, shutOff_m - head_m) / fall_s2m5) : 0),
        0,
      );
    let low = 0;
    let high = 0.05;
    for (let n = 0; n < 60; n += 1) {
      const middle = (low + high) / 2;
      if (given(asked_m(pipe, middle, level_m)) > middle) low = middle;
      else high = middle;
    }
    return low;
  };
  return (set: number, level_m: number): number => {
    if (set === 0) return 0;
    tables[set] ??= Float64Array.from({ length: rows + 1 }, (_, i) => meet(set, (i * rim_m) / rows));
    const table = tables[set];
    const place = Math.min(rows, Math.max(0, (level_m / rim_m) * rows));
    const i = Math.min(rows - 1, Math.floor(place));
    return (table[i] as number) + (place - i) * ((table[i + 1] as number) - (table[i] as number));
  };
}

export function asked_m(
  { highPoint_m, bore_m, length_m, roughness_m, k }: TrialPipe,
  flow_m3s: number,
  level_m: number,
): number {
  const velocity_ms = flow_m3s / ((Math.PI / 4) * bore_m ** 2);
  const reynolds = (velocity_ms * bore_m) / viscosity_m2s;
  const rough = roughness_m / bore_m / 3.7;
  const a = -2 * Math.log10(rough + 12 / reynolds);
  const b = -2 * Math.log10(rough + (2.51 * a) / reynolds);
  const c = -2 * Math.log10(rough + (2.51 * b) / reynolds);
  const factor = reynolds < 2300 ? 64 / Math.max(1, reynolds) : (a - (b - a) ** 2 / (c - 2 * b + a)) ** -2;
  return highPoint_m - level_m + ((factor * length_m) / bore_m + k) * (velocity_ms ** 2 / (2 * gravity_ms2));
}

function between(rows: readonly (readonly [number, number])[], from: 0 | 1, to: 0 | 1): (x: number) => number {
  return (x) => {
    let i = 0;
    while (i < rows.length - 2 && x > (rows[i + 1] as readonly [number, number])[from]) i += 1;
    const [a, b] = [rows[i] as readonly [number, number], rows[i + 1] as readonly [number, number]];
    return a[to] + ((x - a[from]) / (b[from] - a[from])) * (b[to] - a[to]);
  };
}
