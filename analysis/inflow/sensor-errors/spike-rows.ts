// Rows of spikes: levels that leap off the course of a rest or run and are back on it within a few readings. No water leaps
// there and back, nor does a pump make it; the fits by themselves give the weight of a spike or two beside each other.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianInPlace, medianOfThree } from "../../statistics/median.ts";
import { scatterOf } from "./scatter-of-reading.ts";

/** What was read just before and just after the samples; null or empty where nothing was, or where it does not tell. */
export interface BesideSamples {
  readonly before_m3: number | null;
  readonly after_m3: readonly number[];
  /** So much the pump takes out from one reading to the next; Infinity where that is not known. */
  readonly pumped_m3: number;
  /** Of a sample, as the rests before have shown it; null where that is not known. */
  readonly sampleSd_m3: number | null;
}

/** A row of more of them is a course of its own; so is one that lasts longer. */
const longestRow = 6;
const longest_s = 60;
/** Ripples and what a closing valve lets back are less; standard deviations of a sample. */
const least_m3 = 0.002;
const clearly = 10;
const steps = 4;
/** Where more of the samples are off, it is foam or a wave, and nobody knows which of them tell the level. */
const mostOfAll = 0.5;
const fewest = 5;

/**
 * Puts rows of spikes on a line between the samples beside them, and gives them no weight.
 *
 * @param samples volumes in m³ against time, in order of time, of one rest or of one run; changed where there are spikes
 * @param step_m3 what one step of the level sensor is worth
 */
export function takeOutSpikeRows(samples: CurveSamples, beside: BesideSamples, step_m3: number): void {
  const { count, weight } = samples;
  if (count < fewest || !leapsAnywhere(samples, beside)) return;
  const pace_m3s = usualPace(samples);
  const interval_s = ((samples.t[count - 1] as number) - (samples.t[0] as number)) / (count - 1);
  const sd_m3 = beside.sampleSd_m3 ?? scatterOf(samples).sample_m3;
  // A pump comes up to speed, and a stop is seen, within an interval.
  const clear_m3 = Math.max(least_m3, steps * step_m3, clearly * sd_m3) + Math.abs(pace_m3s) * interval_s;
  const rows = rowsIn(samples, beside, pace_m3s, clear_m3);
  const off = rows.reduce((sum, { from, to }) => sum + to - from, 0);
  if (off > mostOfAll * count) return;
  for (const row of rows) {
    passOver(samples, row, pace_m3s);
    weight.fill(0, row.from, row.to);
  }
}

/** What no ordinary rest or run does, seen at little cost. */
function leapsAnywhere({ y, count }: CurveSamples, { before_m3 }: BesideSamples): boolean {
  let before = before_m3 ?? (y[0] as number);
  let step = 0;
  for (let i = 0; i < count; i += 1) {
    const next = (y[i] as number) - before;
    if (Math.abs(next - step) > least_m3) return true;
    before = y[i] as number;
    step = next;
  }
  return false;
}

interface Row {
  /** Its first sample, and the first after it. */
  readonly from: number;
  readonly to: number;
}

function rowsIn(samples: CurveSamples, beside: BesideSamples, pace_m3s: number, clear_m3: number): Row[] {
  const { t, y, count } = samples;
  const so_m3 = (i: number) => (y[i] as number) - pace_m3s * (t[i] as number);
  const rows: Row[] = [];
  let on_m3 = beside.before_m3 === null ? so_m3(0) : beside.before_m3 - pace_m3s * (t[0] as number);
  let [lately_m3, before_m3] = [on_m3, on_m3];
  for (let i = 0; i < count; ) {
    const off_m3 = so_m3(i) - on_m3;
    const to = Math.abs(off_m3) > clear_m3 ? backAt(samples, beside, i, so_m3, on_m3, clear_m3, pace_m3s) : null;
    if (to !== null) {
      rows.push({ from: i, to });
      i = to;
      continue;
    }
    const now_m3 = so_m3(i);
    // What stays where it came to is the course from here on.
    if (Math.abs(off_m3) > clear_m3) before_m3 = lately_m3 = now_m3;
    on_m3 = medianOfThree(before_m3, lately_m3, now_m3);
    before_m3 = lately_m3;
    lately_m3 = now_m3;
    i += 1;
  }
  return rows;
}

/** The first sample that is on the course again, or their end where what was read after is; null where neither is soon. */
function backAt(
  { t, count }: CurveSamples,
  beside: BesideSamples,
  from: number,
  so_m3: (i: number) => number,
  on_m3: number,
  clear_m3: number,
  pace_m3s: number,
): number | null {
  const isOn = (i: number) => Math.abs(so_m3(i) - on_m3) <= clear_m3;
  let [lowest_m3, highest_m3] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  let to = from;
  for (; to < count && !isOn(to); to += 1) {
    if (to - from >= longestRow || (t[to] as number) - (t[from] as number) > longest_s) return null;
    lowest_m3 = Math.min(lowest_m3, so_m3(to) - on_m3);
    highest_m3 = Math.max(highest_m3, so_m3(to) - on_m3);
  }
  if (to < count) return to;
  const after_m3 = on_m3 + pace_m3s * (t[count - 1] as number);
  const isBack = beside.after_m3.some((now_m3, i) => {
    const pumped_m3 = (i + 1) * beside.pumped_m3;
    const isOver = now_m3 > after_m3 + clear_m3;
    const isUnder = now_m3 < after_m3 - pumped_m3 - clear_m3;
    // What is read then may be a spike too: on the course's other side it denies the row all the same. What the pump may
    // have taken out again by then could have been poured in.
    if (lowest_m3 > 0) return !isOver && lowest_m3 > pumped_m3 + clear_m3 / 2;
    return highest_m3 < 0 ? !isUnder : !isOver && !isUnder;
  });
  return isBack ? count : null;
}

/** The median from one sample to the next. */
function usualPace({ t, y, count }: CurveSamples): number {
  const paces = new Float64Array(count - 1);
  let used = 0;
  for (let i = 1; i < count; i += 1) {
    const apart_s = (t[i] as number) - (t[i - 1] as number);
    if (!(apart_s > 0)) continue;
    paces[used] = ((y[i] as number) - (y[i - 1] as number)) / apart_s;
    used += 1;
  }
  return used === 0 ? 0 : medianInPlace(paces, used);
}

function passOver({ t, y, count }: CurveSamples, { from, to }: Row, pace_m3s: number): void {
  const first = from === 0 ? to : from - 1;
  const [first_s, first_m3] = [t[first] as number, y[first] as number];
  // Rows may be of one time.
  const inside = from > 0 && to < count && (t[to] as number) > first_s;
  const slope_m3s = inside ? ((y[to] as number) - first_m3) / ((t[to] as number) - first_s) : pace_m3s;
  for (let i = from; i < to; i += 1) y[i] = first_m3 + slope_m3s * ((t[i] as number) - first_s);
}
