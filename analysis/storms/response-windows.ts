// What a fit of the answer to rain looks at: each storm with the rain before it, and rains that no storm came of.

import { evenRain } from "./even-series.ts";
import type { RainStretch } from "./rain.ts";
import type { EarlierRain } from "./response-model.ts";
import { type Storm, surePeak } from "./storm.ts";
import type { StormCourse } from "./storm-search.ts";

/** Times are in steps of `ResponseData`. */
export interface Window {
  /** Null: it rained and no storm came. */
  readonly storm: Storm | null;
  readonly from: number;
  readonly to: number;
  readonly height_m3s: number;
  /** Least standard deviation of a step's residual. */
  readonly uLeast_m3s: number;
  readonly base_m3s: number;
}

/** A stretch to go through, and the rain of the weeks before it. */
export interface Segment {
  readonly from: number;
  readonly to: number;
  readonly before: EarlierRain;
}

export interface ResponseData {
  readonly step_s: number;
  readonly from_s: number;
  readonly rain_ms: Float64Array;
  /** NaN where nothing was seen. */
  readonly flow_m3s: Float64Array;
  readonly u_m3s: Float64Array;
  readonly windows: readonly Window[];
  /** Stretches that must be gone through, from dry ground, so that each window has the rain of days before it. */
  readonly segments: readonly Segment[];
  readonly reference_m3s: number;
  /** Where an answer is written down; the next one is written over it. */
  readonly answer: Float64Array;
}

/** The ground remembers rain for weeks; what its stores hold is gone in days. */
const remembered_s = 30 * 86_400;
const warmUp_s = 3 * 86_400;
/** How well a model of a house tells a flow: as a share of the storm's height, and where no storm came of the highest one's. */
const ofHeight = 0.03;
const ofHighest = 0.07;
/** Of the recession, the slow way's time constant may be. */
const slowest = 20;
const lead_s = 3600;
const mostStorms = 14;
const mostQuiet = 6;
const quiet_m = 0.003;
const quietLasts_s = 8 * 3600;
const least_m3s = 5e-6;

/** @returns null when no storm has its rain */
export function responseData(
  storms: readonly Storm[],
  course: StormCourse,
  rain: readonly RainStretch[],
  recession_s: number,
): ResponseData | null {
  const known = storms.filter((storm) => storm.rain !== null && surePeak(storm) !== null);
  if (known.length === 0) return null;
  const { step_s } = course;
  const extra = Math.ceil(remembered_s / step_s);
  const from_s = course.from_s - extra * step_s;
  const count = course.value.length + extra;
  const rain_ms = evenRain(rain, from_s, step_s, count).value;
  const flow_m3s = new Float64Array(count).fill(Number.NaN);
  const u_m3s = new Float64Array(count).fill(Number.NaN);
  flow_m3s.set(course.value, extra);
  u_m3s.set(course.u, extra);
  const largest = [...known].sort((a, b) => b.peakAboveBase_m3s - a.peakAboveBase_m3s).slice(0, mostStorms);
  const stormy = largest.sort((a, b) => a.from_s - b.from_s).map((storm) => stormWindow(storm, from_s, step_s));
  const reference_m3s = Math.max(...known.map((storm) => storm.peakAboveBase_m3s));
  const quiet = quietWindows(storms, rain, course, from_s, reference_m3s).slice(0, mostQuiet);
  const windows = [...stormy, ...quiet].map((window) => ({ ...window, to: Math.min(window.to, count) }));
  return {
    step_s,
    from_s,
    rain_ms,
    flow_m3s,
    u_m3s,
    windows,
    segments: segmentsOf(windows, Math.ceil(Math.max(warmUp_s, slowest * recession_s) / step_s)).map((segment) => ({
      ...segment,
      before: earlierRain(rain_ms, step_s, segment.from),
    })),
    reference_m3s,
    answer: new Float64Array(count),
  };
}

function stormWindow(storm: Storm, from_s: number, step_s: number): Window {
  return {
    storm,
    from: Math.max(0, Math.floor((storm.from_s - lead_s - from_s) / step_s)),
    to: Math.round((storm.to_s - from_s) / step_s),
    height_m3s: storm.peakAboveBase_m3s,
    uLeast_m3s: ofHeight * storm.peakAboveBase_m3s,
    base_m3s: storm.base_m3s,
  };
}

/** Rains of three millimetres or more with no storm near, the deepest first: they tell of the first loss. */
function quietWindows(
  storms: readonly Storm[],
  rain: readonly RainStretch[],
  { step_s, from_s: seenFrom_s, value, noise_m3s }: StormCourse,
  from_s: number,
  reference_m3s: number,
): Window[] {
  const spells = wetSpells(rain).filter(({ depth_m }) => depth_m >= quiet_m);
  const free = spells.filter(
    ({ from_s: start_s, to_s }) =>
      start_s > seenFrom_s + lead_s &&
      !storms.some((storm) => storm.from_s < to_s + quietLasts_s && storm.to_s > start_s - lead_s),
  );
  return free
    .sort((a, b) => b.depth_m - a.depth_m)
    .map(({ from_s: start_s, to_s }) => {
      const base_m3s = value[Math.floor((start_s - seenFrom_s) / step_s)] ?? Number.NaN;
      return {
        storm: null,
        from: Math.floor((start_s - lead_s - from_s) / step_s),
        to: Math.ceil((to_s + quietLasts_s - from_s) / step_s),
        height_m3s: 0,
        uLeast_m3s: Math.max(least_m3s, 5 * noise_m3s, 0.2 * base_m3s, ofHighest * reference_m3s),
        base_m3s,
      };
    })
    .filter(({ base_m3s }) => base_m3s >= 0);
}

const apart_s = 6 * 3600;

/** Rain parted by six dry hours. */
export function wetSpells(rain: readonly RainStretch[]): { from_s: number; to_s: number; depth_m: number }[] {
  const spells: { from_s: number; to_s: number; depth_m: number }[] = [];
  for (const { from_s, to_s, rain_m } of rain) {
    if (rain_m <= 0) continue;
    const last = spells[spells.length - 1];
    if (last === undefined || from_s - last.to_s >= apart_s) spells.push({ from_s, to_s, depth_m: rain_m });
    else Object.assign(last, { to_s, depth_m: last.depth_m + rain_m });
  }
  return spells;
}

export function earlierRain(rain_ms: Float64Array, step_s: number, to: number): EarlierRain {
  const [ago_s, rain_m]: [number[], number[]] = [[], []];
  for (let i = Math.max(0, to - Math.ceil(remembered_s / step_s)); i < to; i += 1) {
    if (!((rain_ms[i] as number) > 0)) continue;
    ago_s.push((to - i - 1) * step_s);
    rain_m.push((rain_ms[i] as number) * step_s);
  }
  return { ago_s: Float64Array.from(ago_s), rain_m: Float64Array.from(rain_m) };
}

function segmentsOf(windows: readonly Window[], warmUp: number): { from: number; to: number }[] {
  const segments: { from: number; to: number }[] = [];
  for (const { from, to } of [...windows].sort((a, b) => a.from - b.from)) {
    const last = segments[segments.length - 1];
    const begin = Math.max(0, from - warmUp);
    if (last === undefined || begin > last.to) segments.push({ from: begin, to });
    else last.to = Math.max(last.to, to);
  }
  return segments;
}
