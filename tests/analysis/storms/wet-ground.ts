// Houses of our own invention that answer rain in ways the analysis does not assume: stores whose outflow is no straight
// line, ground that must wet first, water tables that rise, soil that saturates. Their storms are known to the drop.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { RainStretch } from "../../../analysis/storms/rain.ts";
import { type Random, randomOf } from "../../truth/random.ts";

export const lpm = 1 / 60_000;
const step_s = 60;
const day_s = 86_400;

/** Answers the rain of one step, m, with inflow, m³/s. */
type Ground = (rain_m: number) => number;

export interface House {
  readonly name: string;
  ground(): Ground;
  readonly base_m3s: number;
  readonly rain: readonly RainStretch[];
  readonly days: number;
  /** The truth: inflow of each minute. */
  readonly flow_m3s: Float64Array;
  /** As a logger would have it: stretches of uneven length, noise, gaps. */
  readonly inflow: readonly InflowStretch[];
  /** Whole inflow for each minute, if so much rain fell in each minute from the end of the record on. */
  after(rain_m: readonly number[]): Float64Array;
}

const kinds = [
  "two-reservoirs",
  "cascade",
  "power-store",
  "wetting-soil",
  "water-table",
  "deep-deficit",
  "narrow-drain",
] as const;

/** Draws a house, its weather and its record. */
export function drawHouse(seed: string, change: { days?: number; everyDays?: number } = {}): House {
  const random = randomOf("storms", seed);
  const kind = random.oneOf(kinds);
  const ground = grounds[kind](random);
  const days = change.days ?? random.between(7, 40);
  const minutes = Math.round(days * 1440);
  const rainBy_m = drawRain(random, minutes, change.everyDays ?? random.between(1.5, 4));
  const base_m3s = random.evenlyOverLog(0.3, 4) * lpm;
  const rhythm = random.between(0, 0.08);
  // A week of ground that nobody saw, so that it is neither dry nor wet at the first storm.
  const before = drawRain(random, 7 * 1440, 3);
  const run = ground();
  for (const rain_m of before) run(rain_m);
  const flow = Float64Array.from(
    rainBy_m,
    (rain_m, i) => base_m3s * (1 + rhythm * Math.sin((2 * Math.PI * i) / 1440)) + run(rain_m),
  );
  return {
    name: kind,
    ground,
    base_m3s,
    days,
    rain: asStretches(gauged(random, rainBy_m)),
    flow_m3s: flow,
    inflow: asLogged(random, flow),
    after(rain_m) {
      const again = ground();
      for (const depth of before) again(depth);
      for (const depth of rainBy_m) again(depth);
      return Float64Array.from(rain_m, (depth) => base_m3s + again(depth));
    },
  };
}

/** Highest mean over a window, m³/s. */
export function highestMean(flow: ArrayLike<number>, window_s: number): number {
  const n = window_s / step_s;
  let [sum, most] = [0, 0];
  for (let i = 0; i < flow.length; i += 1) {
    sum += flow[i] as number;
    if (i >= n) sum -= flow[i - n] as number;
    if (i >= n - 1) most = Math.max(most, sum / n);
  }
  return most;
}

/** Storms as a Poisson process, each with bursts that come and go. */
function drawRain(random: Random, minutes: number, everyDays: number): Float64Array {
  const rain_m = new Float64Array(minutes);
  for (let at = random.exponential(everyDays * 1440); at < minutes; at += random.exponential(everyDays * 1440)) {
    const depth_m = 0.002 + random.exponential(0.009);
    const length = Math.round(60 * random.evenlyOverLog(0.7, 12));
    const peak = random.between(0.15, 0.7);
    const sharp = random.between(0.5, 4);
    const weights = new Float64Array(length);
    let burst = 1;
    for (let i = 0; i < length; i += 1) {
      if (i % 7 === 0) burst = random.exponential(1);
      weights[i] = burst * Math.exp(-sharp * Math.abs(i / length - peak) * 2);
    }
    const total = weights.reduce((sum, one) => sum + one, 0);
    weights.forEach((weight, i) => {
      const minute = Math.floor(at) + i;
      if (minute < minutes) rain_m[minute] = (rain_m[minute] as number) + (depth_m * weight) / total;
    });
  }
  return rain_m;
}

const grounds: Record<(typeof kinds)[number], (random: Random) => () => Ground> = {
  /** A quick and a slow way side by side, after the first wetting. */
  "two-reservoirs"(random) {
    const [area, quickShare] = [random.evenlyOverLog(15, 120), random.between(0.4, 0.9)];
    const [quick_s, slow_s] = [random.evenlyOverLog(900, 9000), random.between(8, 60) * 3600];
    const [wetting, dry_s] = [random.between(0, 0.004), random.between(0.5, 3) * day_s];
    return () => {
      let [quick, slow, missing] = [0, 0, wetting];
      return (rain_m) => {
        missing = Math.min(wetting, missing + (wetting * step_s) / dry_s);
        const taken = Math.min(missing, rain_m);
        missing -= taken;
        quick += (rain_m - taken) * area * quickShare;
        slow += (rain_m - taken) * area * (1 - quickShare);
        const [out, seep] = [quick * (1 - Math.exp(-step_s / quick_s)), slow * (1 - Math.exp(-step_s / slow_s))];
        quick -= out;
        slow -= seep;
        return (out + seep) / step_s;
      };
    };
  },

  /** Reservoirs in a row, all alike. */
  cascade(random) {
    const area = random.evenlyOverLog(15, 120);
    const stores = Math.ceil(random.between(1, 4));
    const each_s = random.evenlyOverLog(1800, 18_000) / stores;
    return () => {
      const held = new Array<number>(stores).fill(0);
      return (rain_m) => {
        let through = rain_m * area;
        held.forEach((store, i) => {
          const full = store + through;
          through = full * (1 - Math.exp(-step_s / each_s));
          held[i] = full - through;
        });
        return through / step_s;
      };
    };
  },

  /** Outflow as a power of what is stored: steeper than a line as it fills, or flatter through a narrow drain. */
  "power-store"(random) {
    const area = random.evenlyOverLog(15, 120);
    const power = random.oneOf([random.between(1.1, 1.8), random.between(0.7, 1)]);
    const [scale_s, scale_m3] = [random.evenlyOverLog(1800, 14_000), area * random.between(0.005, 0.015)];
    const delay = Math.round(random.between(0, 20));
    return () => {
      let stored = 0;
      const waiting: number[] = new Array(delay).fill(0);
      return (rain_m) => {
        waiting.push(rain_m * area);
        stored += waiting.shift() ?? 0;
        const out = Math.min(stored, (scale_m3 / scale_s) * (stored / scale_m3) ** power * step_s);
        stored -= out;
        return out / step_s;
      };
    };
  },

  /** What the soil lets through grows with how wet it is; it dries between storms. */
  "wetting-soil"(random) {
    const area = random.evenlyOverLog(20, 150);
    const [holds_m, shape] = [random.between(0.02, 0.08), random.between(0.5, 2)];
    const [least, quick_s] = [random.between(0.1, 0.4), random.evenlyOverLog(1800, 10_000)];
    const dry_s = random.between(2, 8) * day_s;
    return () => {
      let [wet, stored, second] = [holds_m * 0.3, 0, 0];
      return (rain_m) => {
        const share = least + (1 - least) * Math.min(1, wet / holds_m) ** shape;
        wet = Math.min(holds_m, wet + rain_m * (1 - share)) * (1 - step_s / dry_s);
        stored += rain_m * share * area;
        const out = stored * (1 - Math.exp(-step_s / (quick_s / 2)));
        stored -= out;
        second += out;
        const through = second * (1 - Math.exp(-step_s / (quick_s / 2)));
        second -= through;
        return through / step_s;
      };
    };
  },

  /** Next to nothing comes until the ground has taken what it lacks, tens of millimetres of it; then all does. */
  "deep-deficit"(random) {
    const area = random.evenlyOverLog(20, 100);
    const [lacks_m, crack] = [random.between(0.01, 0.04), random.between(0.05, 0.3)];
    const [refill_s, quick_s] = [random.between(4, 15) * day_s, random.evenlyOverLog(1800, 14_000)];
    return () => {
      let [missing_m, stored, slow] = [lacks_m * 0.6, 0, 0];
      return (rain_m) => {
        missing_m += ((lacks_m - missing_m) * step_s) / refill_s;
        const taken = Math.min(missing_m, rain_m * (1 - crack));
        missing_m -= taken;
        stored += (rain_m - taken) * area * 0.7;
        slow += (rain_m - taken) * area * 0.3;
        const [out, seep] = [
          stored * (1 - Math.exp(-step_s / quick_s)),
          slow * (1 - Math.exp(-step_s / (12 * quick_s))),
        ];
        stored -= out;
        slow -= seep;
        return (out + seep) / step_s;
      };
    };
  },

  /** Two reservoirs into a drain that only passes so much; the rest waits. */
  "narrow-drain"(random) {
    const area = random.evenlyOverLog(20, 100);
    const [first_s, second_s] = [random.evenlyOverLog(900, 7000), random.evenlyOverLog(1800, 10_000)];
    const most_m3s = (area * random.between(0.004, 0.02)) / 3600;
    return () => {
      let [first, second, waiting] = [0, 0, 0];
      return (rain_m) => {
        first += rain_m * area;
        const on = first * (1 - Math.exp(-step_s / first_s));
        first -= on;
        second += on;
        const down = second * (1 - Math.exp(-step_s / second_s));
        second -= down;
        waiting += down;
        const out = Math.min(waiting, most_m3s * step_s);
        waiting -= out;
        return out / step_s;
      };
    };
  },

  /** Water seeps to a table that rises; the drain takes what stands above it, and backfill brings some at once. */
  "water-table"(random) {
    const area = random.evenlyOverLog(20, 120);
    const [porosity, quickShare] = [random.between(0.08, 0.25), random.between(0.15, 0.6)];
    const [seep_s, fall_s] = [random.evenlyOverLog(1800, 20_000), random.between(10, 70) * 3600];
    const quick_s = random.evenlyOverLog(900, 5000);
    const under_m = random.between(0, 0.03);
    return () => {
      let [soil, table_m, quick] = [0, -under_m * 0.5, 0];
      return (rain_m) => {
        soil += rain_m * (1 - quickShare);
        const down = soil * (1 - Math.exp(-step_s / seep_s));
        soil -= down;
        table_m = Math.max(-under_m, table_m + down / porosity - (0.02 * step_s) / day_s);
        const drained_m = Math.max(0, table_m) * (1 - Math.exp(-step_s / fall_s));
        table_m -= drained_m;
        quick += rain_m * quickShare;
        const out = quick * (1 - Math.exp(-step_s / quick_s));
        quick -= out;
        return (area * (drained_m * porosity + out)) / step_s;
      };
    };
  },
};

/** A gauge that tips at 0.2 mm, and catches a little more or less than what falls on the house from storm to storm. */
function gauged(random: Random, rain_m: Float64Array): Float64Array {
  const tip_m = 0.0002;
  let [held_m, catches, dry] = [0, 1, 1e9];
  return rain_m.map((depth_m) => {
    dry = depth_m > 0 ? 0 : dry + 1;
    if (dry > 360) catches = Math.exp(0.08 * random.normal());
    held_m += depth_m * catches;
    const tips = Math.floor(held_m / tip_m);
    held_m -= tips * tip_m;
    return tips * tip_m;
  });
}

function asStretches(rain_m: Float64Array): RainStretch[] {
  const stretches: RainStretch[] = [];
  for (let i = 0; i < rain_m.length; i += 5) {
    let depth_m = 0;
    for (let j = i; j < Math.min(rain_m.length, i + 5); j += 1) depth_m += rain_m[j] as number;
    stretches.push({ from_s: i * step_s, to_s: Math.min(rain_m.length, i + 5) * step_s, rain_m: depth_m });
  }
  return stretches;
}

/** Stretches of a pump's cycle each, 25 L, with noise; in a tenth of the records some hours are missing. */
function asLogged(random: Random, flow_m3s: Float64Array): InflowStretch[] {
  const stretches: InflowStretch[] = [];
  const noise = random.between(0.005, 0.03);
  const gap = random.chance(0.1) ? Math.floor(random.between(0, flow_m3s.length)) : -1;
  let [from, volume_m3] = [0, 0];
  flow_m3s.forEach((flow, i) => {
    volume_m3 += flow * step_s;
    if (volume_m3 < 0.025 && i - from < 360) return;
    const mean_m3s = volume_m3 / ((i + 1 - from) * step_s);
    const silent = gap >= 0 && i > gap && i < gap + 300;
    if (!silent) {
      stretches.push({
        from_s: from * step_s,
        to_s: (i + 1) * step_s,
        inflow_m3s: mean_m3s * (1 + noise * random.normal()),
        uInflow_m3s: mean_m3s * noise,
      });
    }
    [from, volume_m3] = [i + 1, 0];
  });
  return stretches;
}
