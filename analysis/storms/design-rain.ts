// The rain of a storm of the tables, step by step: its depth spread over its length by a published curve, evenly, or so
// that its wettest part of every length has the depth that the tables give for it.

import type { DepthOfDuration, DesignStormSite, RainDistribution } from "./design-storm-site.ts";
import { type NrcsType, nrcsShare } from "./nrcs-curves.ts";

export interface DesignRain {
  readonly step_s: number;
  /** Depth of each step. */
  readonly rain_m: Float64Array;
  /** How the depth was spread, in words for the report. */
  readonly method: string;
}

const day_s = 86_400;
const day_h = 24;

/**
 * Spreads a design storm's depth.
 *
 * A curve of the NRCS is for 24 hours; of a shorter storm its wettest part of that length is taken and given the whole
 * depth, and a longer one has the curve drawn out. A balanced storm is built by alternating blocks about its middle from
 * the rows given; without others, from how the handbook nests shorter depths in a day's (NEH 630 ch. 4, fig. 4-31).
 *
 * @throws {RangeError} on a depth or a duration that is not above 0
 */
export function designRain(storm: DesignStormSite, step_s = 60): DesignRain {
  const { depth_m, duration_s, distribution } = storm;
  if (!(depth_m > 0)) throw new RangeError(`designRain: depth_m is ${depth_m} m; a storm needs more than 0`);
  if (!(duration_s > 0)) throw new RangeError(`designRain: duration_s is ${duration_s} s; a storm needs more than 0`);
  const share = shareBy(storm);
  const count = Math.max(1, Math.ceil(duration_s / step_s - 1e-9));
  const rain_m = new Float64Array(count);
  let before = 0;
  for (let i = 0; i < count; i += 1) {
    const now = share(Math.min(1, ((i + 1) * step_s) / duration_s));
    rain_m[i] = depth_m * (now - before);
    before = now;
  }
  return { step_s, rain_m, method: methodOf(distribution, duration_s, otherRows(storm).length) };
}

/** Share of the depth that has fallen after a share of the time. */
function shareBy(storm: DesignStormSite): (part: number) => number {
  const { distribution, duration_s } = storm;
  if (distribution === "uniform") return (part) => part;
  if (distribution === "balanced") return balanced(storm);
  if (duration_s >= day_s) return (part) => nrcsShare(distribution, part * day_h);
  const length_h = duration_s / 3600;
  const from_h = wettestFrom_h(distribution, length_h);
  const before = nrcsShare(distribution, from_h);
  const whole = nrcsShare(distribution, from_h + length_h) - before;
  return (part) => (nrcsShare(distribution, from_h + part * length_h) - before) / whole;
}

/** Where the curve rises most over so many hours; of equals the middle one. */
function wettestFrom_h(type: NrcsType, length_h: number): number {
  let best = -1;
  let [first, last] = [0, 0];
  for (let i = 0; i <= (day_h - length_h) * 60 + 1e-9; i += 1) {
    const rise = nrcsShare(type, i / 60 + length_h) - nrcsShare(type, i / 60);
    if (rise > best + 1e-9) [best, first, last] = [rise, i, i];
    else if (rise > best - 1e-9) last = i;
  }
  return (first + last) / 120;
}

/** Symmetric about the middle: the wettest part of each length d stands from half of d before it to half of d after. */
function balanced(storm: DesignStormSite): (part: number) => number {
  const rows = [...otherRows(storm), { duration_s: storm.duration_s, depth_m: storm.depth_m }];
  const most = (length_s: number) => depthOf(rows, length_s) / storm.depth_m;
  return (part) => {
    const half = most(2 * Math.abs(part - 0.5) * storm.duration_s) / 2;
    return part < 0.5 ? 0.5 - half : 0.5 + half;
  };
}

/** Rows of shorter durations, rising in both; where none are given, by the handbook's shares of a day's depth. */
function otherRows({ depth_m, duration_s, depths }: DesignStormSite): DepthOfDuration[] {
  const given = [...(depths ?? [])]
    .filter((row) => row.duration_s < duration_s && row.depth_m < depth_m && row.depth_m > 0)
    .sort((a, b) => a.duration_s - b.duration_s);
  if (given.length > 0)
    return given.filter((row, i) => given.slice(0, i).every((before) => before.depth_m < row.depth_m));
  const whole = depthOf(nested, Math.min(day_s, duration_s));
  return nested
    .filter((row) => row.duration_s < duration_s && row.duration_s < day_s)
    .map((row) => ({ duration_s: row.duration_s, depth_m: (depth_m * row.depth_m) / whole }));
}

/** Straight between logarithms; evenly within the shortest. */
function depthOf(rows: readonly DepthOfDuration[], length_s: number): number {
  const [first] = rows;
  if (first === undefined || length_s <= first.duration_s)
    return ((first?.depth_m ?? 0) * length_s) / (first?.duration_s ?? 1);
  const i = rows.findIndex((row) => row.duration_s >= length_s);
  const [low, high] = [rows[i - 1], rows[i]];
  if (low === undefined || high === undefined) return rows[rows.length - 1]?.depth_m ?? 0;
  const part = Math.log(length_s / low.duration_s) / Math.log(high.duration_s / low.duration_s);
  return low.depth_m * (high.depth_m / low.depth_m) ** part;
}

/** NEH 630 ch. 4, fig. 4-31: greatest depth of each length within the day of type II, as a share of the day's. */
const nested: readonly DepthOfDuration[] = [
  [5, 0.114],
  [10, 0.201],
  [15, 0.27],
  [30, 0.38],
  [60, 0.454],
  [120, 0.538],
  [180, 0.595],
  [360, 707 / 1000],
  [720, 0.841],
  [1440, 1],
].map(([minutes = 0, share = 0]) => ({ duration_s: 60 * minutes, depth_m: share }));

function methodOf(distribution: RainDistribution, duration_s: number, rows: number): string {
  const hours = Math.round(duration_s / 360) / 10;
  if (distribution === "uniform") return `spread evenly over ${hours} h`;
  if (distribution === "balanced") {
    return `balanced storm of ${hours} h by alternating blocks from ${rows + 1} durations`;
  }
  const name = `NRCS type ${{ "nrcs-type-1": "I", "nrcs-type-1a": "IA", "nrcs-type-2": "II", "nrcs-type-3": "III" }[distribution]}`;
  if (duration_s === day_s) return `${name}, 24 h`;
  return duration_s < day_s
    ? `the wettest ${hours} h of the 24 h curve of ${name}`
    : `${name}, drawn out to ${hours} h`;
}
