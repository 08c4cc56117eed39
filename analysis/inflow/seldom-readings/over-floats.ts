// Water that stands over where the float starts the pump, by the level alone and by readings far apart: whether the pump runs
// and is overwhelmed, or stands; and what came in while it ran on, which is what it moves and what the water rose.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { OverStretch, SparseContext } from "./over-stretch.ts";

export interface OverFloats {
  /** Since the water was first seen there, each later than the one before. */
  readings: Level[];
  /** It rises by so much less than came in before that the pump must run; null as long as that does not show, false for good. */
  runs: boolean | null;
}

export interface Level {
  readonly time_s: number;
  readonly volume_m3: number;
}

/** Two levels in a row may be wrong; with a third it shows how fast the water rises. */
export const fewestOver = 3;

type Floats = Pick<SparseContext, "active_m3" | "stop_m3" | "noise_m3" | "scatter_m3">;

/** So far over the float's level, as a share of what lies between the two, no cycle goes: ripples, a level that is off. */
const over = 0.2;
const clearly = 4;

export function isOver({ volume_m3 }: Level, { active_m3, stop_m3, noise_m3, scatter_m3 }: Floats): boolean {
  if (active_m3 === null || stop_m3 === null) return false;
  // A float that trips higher each now and then lets the water go there in calm weather, too.
  return volume_m3 > stop_m3 + active_m3 + Math.max(over * active_m3, clearly * Math.hypot(noise_m3, scatter_m3));
}

/**
 * Of what came in before, a pump that stands lets all rise, and one that runs what is over what it moves. In a storm that
 * brought most of that already, the one is far more than half of what came in and the other far less. Judgement, no source.
 */
const muchOfPump = 0.3;
const halfOfIt = 0.5;

/**
 * Whether the pump must be running.
 *
 * @param readings   `fewestOver` or more
 * @param before_m3s what came in before the water rose there
 */
export function runsOverFloats(
  readings: readonly Level[],
  before_m3s: number,
  pump: FlowEstimate | null,
  { noise_m3 }: Pick<Floats, "noise_m3">,
): boolean {
  if (pump === null || !(before_m3s > muchOfPump * pump.flow_m3s)) return false;
  // From each to the next: foam and spikes leap up and down.
  return readings.every((now, i) => {
    const last = readings[i - 1];
    if (last === undefined) return true;
    const moved_m3 = Math.abs(now.volume_m3 - last.volume_m3);
    return moved_m3 < halfOfIt * before_m3s * (now.time_s - last.time_s) + 2 * Math.SQRT2 * noise_m3;
  });
}

/**
 * Place of the first of the latest levels along which the water rises by far less than came in before.
 *
 * @param before_m3s what came in before
 */
export function roseSince(
  levels: readonly Level[],
  before_m3s: number,
  { noise_m3 }: Pick<Floats, "noise_m3">,
): number {
  const within_m3 = 2 * Math.SQRT2 * noise_m3;
  let i = levels.length - 1;
  for (; i > 0; i -= 1) {
    const [a, b] = [levels[i - 1] as Level, levels[i] as Level];
    const rose_m3 = b.volume_m3 - a.volume_m3;
    if (!(rose_m3 > -within_m3 && rose_m3 < halfOfIt * before_m3s * (b.time_s - a.time_s) + within_m3)) break;
  }
  return i;
}

/** So many of them are watched on: then it was a rest after all. */
const mostWatched = 47;
const nearlyPump = 0.6;

/** Through three readings or more, after nearly as much as the pump moves came in: it may be running, and hold the water no longer. */
export function risesSlowly(
  levels: readonly Level[],
  from: Level,
  before_m3s: number,
  pump: FlowEstimate | null,
  floats: Floats,
): boolean {
  if (pump === null || !(before_m3s > nearlyPump * pump.flow_m3s)) return false;
  const rising = levels.length - 1 - roseSince(levels, before_m3s, floats);
  const since = levels.filter(({ time_s }) => time_s >= from.time_s).length;
  return rising >= fewestOver && since <= mostWatched;
}

/** Falling on as it did since the reading before, the water may be down where the pump stops by the next. */
export function mayStopNext(before: Level, now: Level, { active_m3, stop_m3, noise_m3 }: Floats): boolean {
  if (active_m3 === null || stop_m3 === null) return true;
  const fell_m3 = Math.max(0, before.volume_m3 - now.volume_m3, clearly * noise_m3);
  return now.volume_m3 - 2 * fell_m3 < stop_m3;
}

/**
 * A pump that ran before ran on, too, through the minutes in which a level at the rim is held to be stuck; through longer ones
 * without a reading it may have stood, and the water have come down and up again. Judgement, no source.
 */
const apart_s = 600;
/**
 * A storm's crest, at which as much comes in as the pump moves, passes within minutes: of one that changes by a tenth of a
 * pump in an hour the water stands within a tenth of a basin's float levels for a quarter of an hour. Water that stands for
 * longer is at the rim, or nothing comes in and the pump stands. Judgement, no source.
 */
const stands_s = 1200;
const fewestStanding = 5;
const still = 0.05;
/** To stay for longer between floats and rim, a storm would have to bring just what the pump moves, within a few per cent. */
const longest_s = 7200;
/** Of water that rises by nearly all that came in before, no part is pumped. */
const nearlyAll = 0.8;
const lookedBack = 2;

/** The pump may stand by now: what it was seen to do before says nothing of what came in since. */
export function mayStand(
  { readings }: OverFloats,
  before_m3s: number,
  { active_m3, noise_m3 }: Pick<Floats, "active_m3" | "noise_m3">,
): boolean {
  const [first, last, now] = [readings[0], readings.at(-2), readings.at(-1)];
  if (first === undefined || last === undefined || now === undefined) return false;
  if (now.time_s - last.time_s > apart_s || now.time_s - first.time_s > longest_s) return true;
  const then = readings[readings.length - 1 - lookedBack];
  const rose_m3 = then === undefined ? 0 : now.volume_m3 - then.volume_m3 - 2 * Math.SQRT2 * noise_m3;
  if (then !== undefined && rose_m3 > nearlyAll * before_m3s * (now.time_s - then.time_s)) return true;
  return stands(readings, now, Math.max(still * (active_m3 ?? 0), 2 * clearly * noise_m3));
}

function stands(readings: readonly Level[], now: Level, within_m3: number): boolean {
  if (now.time_s - (readings[0] as Level).time_s < stands_s) return false;
  const levels = readings.filter(({ time_s }) => now.time_s - time_s <= stands_s).map(({ volume_m3 }) => volume_m3);
  return levels.length >= fewestStanding && Math.max(...levels) - Math.min(...levels) < within_m3;
}

/** More readings than this are thinned: the water rises and falls slowly there. */
const most = 240;

/** Takes a reading in; one that is no later than the last shows nothing of how fast the water rises. */
export function noteOver(state: OverFloats, { time_s, volume_m3 }: Level): void {
  const last = state.readings.at(-1);
  if (last !== undefined && !(time_s > last.time_s)) return;
  state.readings.push({ time_s, volume_m3 });
  if (state.readings.length > most) state.readings = state.readings.filter((_, i) => i % 2 === 0);
}

export interface OverFloatsInflow extends OverStretch {
  readonly parts: readonly FlowEstimate[];
}

/**
 * From `from`, the last reading before the water was up there, to the last of those.
 *
 * @param pump what it moves midway between the floats
 * @param tilt by so much, as a share, it moves more at the upper of their levels; carried on over that, and known to half
 */
export function inflowOverFloats(
  from: Level,
  { readings }: OverFloats,
  pump: FlowEstimate,
  floats: { readonly stop_m3: number; readonly active_m3: number; readonly noise_m3: number },
  tilt: number,
): OverFloatsInflow | null {
  const [first, last] = [readings[0], readings.at(-1)];
  if (first === undefined || last === undefined || readings.length < 2) return null;
  let [more_m3, moved_m3] = [0, 0];
  const cameIn_m3 = [0];
  for (let i = 1; i < readings.length; i += 1) {
    const [a, b] = [readings[i - 1] as Level, readings[i] as Level];
    const full = ((a.volume_m3 + b.volume_m3) / 2 - floats.stop_m3) / floats.active_m3;
    more_m3 += tilt * (2 * full - 1) * pump.flow_m3s * (b.time_s - a.time_s);
    moved_m3 = pump.flow_m3s * (b.time_s - first.time_s) + more_m3;
    cameIn_m3.push(moved_m3 + b.volume_m3 - first.volume_m3);
  }
  const seen_s = last.time_s - first.time_s;
  const run_s = last.time_s - from.time_s;
  const uFlow_m3s = Math.hypot(pump.uFlow_m3s, more_m3 / 2 / seen_s);
  const known = { uFlow_m3s, degreesOfFreedom: pump.degreesOfFreedom };
  const parts = equalParts(from, readings, cameIn_m3).map((flow_m3s) => ({
    ...known,
    flow_m3s: Math.max(0, flow_m3s),
    uBend_m3s: (Math.SQRT2 * floats.noise_m3 * readings.length) / run_s,
  }));
  const flow_m3s = parts.reduce((sum, part) => sum + part.flow_m3s, 0) / parts.length;
  return {
    inflow: { ...known, flow_m3s },
    parts,
    pumped: { volume_m3: (moved_m3 * run_s) / seen_s, uVolume_m3: uFlow_m3s * run_s, run_s },
    uByChance_m3s: uFlow_m3s,
    counted: null,
  };
}

/** As many parts as there are readings. When on the way up the pump started is not seen: about as much came in as just after. */
function equalParts(from: Level, readings: readonly Level[], cameIn_m3: readonly number[]): number[] {
  const times_s = [from.time_s, ...readings.map(({ time_s }) => time_s)];
  const [first_s, second_s] = [times_s[1] as number, times_s[2] as number];
  const before_m3 = ((cameIn_m3[1] as number) / (second_s - first_s)) * (first_s - from.time_s);
  const sums_m3 = [-before_m3, ...cameIn_m3];
  const part_s = ((times_s.at(-1) as number) - from.time_s) / readings.length;
  let at = 1;
  const sumAt_m3 = (time_s: number) => {
    while (at < times_s.length - 1 && (times_s[at] as number) < time_s) at += 1;
    const [a_s, b_s] = [times_s[at - 1] as number, times_s[at] as number];
    const [a_m3, b_m3] = [sums_m3[at - 1] as number, sums_m3[at] as number];
    return b_s > a_s ? a_m3 + ((b_m3 - a_m3) * (time_s - a_s)) / (b_s - a_s) : b_m3;
  };
  let before = -before_m3;
  return readings.map((_, i) => {
    const now_m3 = sumAt_m3(from.time_s + (i + 1) * part_s);
    const flow_m3s = (now_m3 - before) / part_s;
    before = now_m3;
    return flow_m3s;
  });
}
