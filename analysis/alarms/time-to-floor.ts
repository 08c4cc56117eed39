// How long until the rising water reaches the floor, from the levels of the last minutes.

import { fitLine } from "../statistics/fit-line.ts";
import { studentTQuantile } from "../statistics/student-t.ts";

export interface TimeToFloor {
  /** Rate of rise and its standard uncertainty, m/s. */
  readonly rise_ms: number;
  readonly uRise_ms: number;
  /** At this rate; 0 when the water is there. Null while it does not rise. */
  readonly expected_s: number | null;
  /** 95 % of what the rate may be: earliest, and latest, which is null where it may not rise at all. */
  readonly earliest_s: number | null;
  readonly latest_s: number | null;
}

/** Shorter spans tell of waves; longer ones of water that came before. */
const window_s = 300;
const fewest = 6;
const shortest_s = 30;
/** Readings that come faster are thinned to this: a window is then at most 150 of them. */
const apart_s = 2;
const freshFor_s = 120;

export interface RiseWindow {
  push(time_s: number, level_m: number): void;
  /**
   * @param floor_m level at which water reaches the floor; null: not known
   * @returns null where the latest level is too old to say anything of now
   */
  toFloor(floor_m: number | null, now_s: number): TimeToFloor | null;
}

/**
 * Keeps the levels of the last five minutes. A straight line gives the rate; as its uncertainty counts, beside the scatter
 * about it, by how much the rates of its two halves differ: a rise that gathers pace is known less well.
 */
export function createRiseWindow(): RiseWindow {
  let times: number[] = [];
  let levels: number[] = [];

  return {
    push(time_s, level_m) {
      const last_s = times.at(-1);
      if (last_s !== undefined && time_s < last_s + apart_s && time_s >= last_s) return;
      // A clock that was set back: what was before says nothing about how fast.
      if (last_s !== undefined && time_s < last_s) {
        times = [];
        levels = [];
      }
      times.push(time_s);
      levels.push(level_m);
      const first = times.findIndex((each) => each >= time_s - window_s);
      if (first > 0) {
        times = times.slice(first);
        levels = levels.slice(first);
      }
    },
    toFloor: (floor_m, now_s) =>
      now_s - (times.at(-1) ?? now_s) < freshFor_s ? timeToFloor(times, levels, floor_m) : null,
  };
}

function timeToFloor(times: readonly number[], levels: readonly number[], floor_m: number | null): TimeToFloor | null {
  const first_s = times[0] ?? 0;
  const last_s = times.at(-1) ?? 0;
  if (times.length < fewest || last_s - first_s < shortest_s) return null;
  const whole = fitLine(times, levels);
  const half = times.length >> 1;
  const halves =
    times.length < 2 * fewest
      ? 0
      : fitLine(times.slice(half), levels.slice(half)).slope -
        fitLine(times.slice(0, half), levels.slice(0, half)).slope;
  const uRise_ms = Math.hypot(whole.uSlope, halves / 2);
  const level_m = whole.intercept + whole.slope * last_s;
  const range_ms = studentTQuantile(0.975, whole.degreesOfFreedom) * uRise_ms;
  const within = (rate_ms: number) =>
    floor_m === null || rate_ms <= 0 ? null : Math.max(0, floor_m - level_m) / rate_ms;
  return {
    rise_ms: whole.slope,
    uRise_ms,
    expected_s: within(whole.slope),
    earliest_s: within(whole.slope + range_ms),
    latest_s: within(whole.slope - range_ms),
  };
}
