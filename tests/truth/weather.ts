// What comes into the basin: ground water through a store of its own, storms through a cascade of reservoirs, the day's
// rhythm, a random walk, and appliances that drain into the sump. Worked out beforehand on a grid, straight between.

import type { Random } from "./random.ts";

export const lpm = 1 / 60_000;
const grid_s = 20;
const ground_s = 1800;

export interface Storm {
  readonly from_s: number;
  /** Flow at its highest. */
  readonly peak_lpm: number;
  readonly rain_s: number;
  /** Each reservoir of the cascade empties with this time constant. */
  readonly store_s: number;
  readonly reservoirs: number;
}

export interface Pulse {
  readonly from_s: number;
  readonly to_s: number;
  readonly flow_lpm: number;
}

export interface Weather {
  readonly dry_lpm: number;
  /** The dry flow fades with this time constant; Infinity: it does not. */
  readonly recession_s: number;
  /** Ground water stands this high: the flow goes to nothing as the basin fills so far. Infinity: it does not care. */
  readonly groundHead_m: number;
  /** At this level the flow is `dry_lpm`. */
  readonly refLevel_m: number;
  /** Share of the dry flow by which it goes up and down in a day. */
  readonly diurnal: number;
  /**
   * The flow is multiplied by exp of a random walk that reverts to 0: its standard deviation and time constant. The ground
   * smooths it over half an hour.
   */
  readonly walk: number;
  readonly walk_s: number;
  readonly storms: readonly Storm[];
  readonly pulses: readonly Pulse[];
  /** Ten-minute or six-hour waves on top: share of the dry flow and period. */
  readonly wave: number;
  readonly wave_s: number;
}

export interface Inflow {
  /** Time in seconds from the beginning. Pulses begin and end at `nextEdge_s`. */
  flow_m3s(time_s: number, level_m: number): number;
  /** Tells that time has come to `time_s`, and gives the next moment at which a pulse begins or ends. */
  nextEdge_s(time_s: number): number;
}

export function inflowOf(weather: Weather, duration_s: number, random: Random): Inflow {
  const count = Math.ceil(duration_s / grid_s) + 3;
  const ground = groundFlow(weather, count, random);
  const surface = stormFlow(weather.storms, count, random);
  const { groundHead_m, refLevel_m } = weather;
  const headless = !Number.isFinite(groundHead_m);
  const edges = pulseEdges(weather.pulses);
  let nextEdge = 0;
  let pulse_m3s = 0;

  return {
    nextEdge_s(time_s) {
      for (; nextEdge < edges.length && (edges[nextEdge]?.time_s ?? 0) <= time_s; nextEdge++) {
        pulse_m3s += edges[nextEdge]?.change_m3s ?? 0;
      }
      return edges[nextEdge]?.time_s ?? Number.POSITIVE_INFINITY;
    },
    flow_m3s(time_s, level_m) {
      const place = time_s / grid_s;
      const i = Math.min(count - 2, Math.max(0, Math.floor(place)));
      const part = place - i;
      const byHead = headless ? 1 : Math.max(0, (groundHead_m - level_m) / (groundHead_m - refLevel_m));
      const g = (ground[i] as number) + part * ((ground[i + 1] as number) - (ground[i] as number));
      const s = (surface[i] as number) + part * ((surface[i + 1] as number) - (surface[i] as number));
      return Math.max(0, g * byHead + s + pulse_m3s);
    },
  };
}

function groundFlow(weather: Weather, count: number, random: Random): Float64Array {
  const { dry_lpm, recession_s, diurnal, walk, walk_s, wave, wave_s } = weather;
  const flow = new Float64Array(count);
  const phase = random.between(0, 2 * Math.PI);
  const keep = Math.exp(-grid_s / walk_s);
  const push = walk * Math.sqrt(1 - keep * keep);
  let state = walk > 0 ? walk * random.normal() : 0;
  let smooth = state;
  for (let i = 0; i < count; i++) {
    const t = i * grid_s;
    const day = 1 + diurnal * Math.sin((2 * Math.PI * t) / 86_400 + phase);
    const waves = wave === 0 ? 1 : 1 + wave * Math.sin((2 * Math.PI * t) / wave_s + 2 * phase);
    flow[i] = dry_lpm * lpm * Math.exp(smooth - t / recession_s) * Math.max(0, day) * Math.max(0, waves);
    if (walk > 0) state = keep * state + push * random.normal();
    smooth += (state - smooth) * (grid_s / ground_s);
  }
  return flow;
}

/** Rain that comes in bursts of five minutes, through reservoirs in a row, then scaled to the storm's highest flow. */
function stormFlow(storms: readonly Storm[], count: number, random: Random): Float64Array {
  const sum = new Float64Array(count);
  for (const storm of storms) {
    const first = Math.max(0, Math.floor(storm.from_s / grid_s));
    const last = Math.min(count, first + Math.ceil((storm.rain_s + 14 * storm.reservoirs * storm.store_s) / grid_s));
    const stores = new Float64Array(storm.reservoirs);
    const passes = 1 - Math.exp(-grid_s / storm.store_s);
    const flow = new Float64Array(Math.max(0, last - first));
    let burst = 0;
    for (let i = 0; i < flow.length; i++) {
      const into_s = i * grid_s;
      if (into_s % 300 === 0) burst = random.exponential(1) * Math.sin(Math.PI * Math.min(1, into_s / storm.rain_s));
      let through = into_s < storm.rain_s ? burst : 0;
      for (let n = 0; n < stores.length; n++) {
        const held = (stores[n] as number) + through;
        through = held * passes;
        stores[n] = held - through;
      }
      flow[i] = through;
    }
    const peak = flow.reduce((highest, value) => Math.max(highest, value), 0);
    const scale = peak > 0 ? (storm.peak_lpm * lpm) / peak : 0;
    flow.forEach((value, i) => {
      sum[first + i] = (sum[first + i] as number) + value * scale;
    });
  }
  return sum;
}

function pulseEdges(pulses: readonly Pulse[]): { time_s: number; change_m3s: number }[] {
  return pulses
    .flatMap(({ from_s, to_s, flow_lpm }) => [
      { time_s: from_s, change_m3s: flow_lpm * lpm },
      { time_s: to_s, change_m3s: -flow_lpm * lpm },
    ])
    .sort((a, b) => a.time_s - b.time_s);
}

/** A washing machine that drains four times in an hour, some times a week, and a softener that rinses at night. */
export function appliances(duration_s: number, washesPerWeek: number, random: Random): Pulse[] {
  const pulses: Pulse[] = [];
  for (
    let t = random.exponential(604_800 / washesPerWeek);
    t < duration_s;
    t += random.exponential(604_800 / washesPerWeek)
  ) {
    let at_s = t;
    for (let drain = 0; drain < 4; drain++) {
      const flow_lpm = random.between(12, 20);
      const length_s = (random.between(10, 22) / flow_lpm) * 60;
      pulses.push({ from_s: at_s, to_s: at_s + length_s, flow_lpm });
      at_s += length_s + random.between(400, 1100);
    }
  }
  for (let night_s = 2 * 3600; night_s < duration_s; night_s += 4 * 86_400) {
    const from_s = night_s + random.between(0, 3600);
    pulses.push({ from_s, to_s: from_s + random.between(1200, 3600), flow_lpm: random.between(1.5, 3) });
  }
  return pulses;
}
