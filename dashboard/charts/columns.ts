// Answers of the API as the columns that a chart draws: display units, and a hole where there was no reading.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { LevelSeries } from "../../daemon/stores/store.ts";
import { toDisplay, type UnitSystem, u95_m3s } from "../format.ts";

/** One time column and any number of value columns of the same length; null is a hole. */
export type Columns = [number[], ...(number | null)[][]];

/** time, lowest, highest, mean. */
export function levelColumns(series: LevelSeries, system: UnitSystem): Columns {
  const hole_s = holeAfter_s(series);
  const half_s = series.bucket_s / 2;
  const time: number[] = [];
  const values: [(number | null)[], (number | null)[], (number | null)[]] = [[], [], []];
  const from = [series.minimum_m, series.maximum_m, series.mean_m] as const;

  series.time_s.forEach((start_s, i) => {
    const before_s = series.time_s[i - 1];
    if (before_s !== undefined && start_s - before_s > hole_s) {
      time.push((before_s + start_s) / 2 + half_s);
      for (const column of values) column.push(null);
    }
    time.push(start_s + half_s);
    values.forEach((column, c) => {
      const level_m = from[c]?.[i];
      column.push(level_m === undefined ? null : toDisplay(level_m, "level", system));
    });
  });
  return [time, ...values];
}

/** A step longer than this between two entries is a hole. */
function holeAfter_s({ bucket_s, time_s }: LevelSeries): number {
  if (bucket_s > 0) return bucket_s * 1.5;
  const steps = time_s.slice(1).map((t, i) => t - (time_s[i] ?? t));
  const usual = steps.toSorted((a, b) => a - b)[Math.floor(steps.length / 2)] ?? 0;
  return Math.max(60, usual * 5);
}

/** time, inflow, lower and upper end of its 95 % interval: level over each stretch, a hole between those that do not touch. */
export function inflowColumns(stretches: readonly InflowStretch[], system: UnitSystem): Columns {
  const columns: [number[], (number | null)[], (number | null)[], (number | null)[]] = [[], [], [], []];
  const push = (time_s: number, values: readonly (number | null)[]) => {
    columns[0].push(time_s);
    columns[1].push(values[0] ?? null);
    columns[2].push(values[1] ?? null);
    columns[3].push(values[2] ?? null);
  };
  let end_s: number | null = null;
  for (const { from_s, to_s, inflow_m3s, uInflow_m3s } of stretches) {
    if (end_s !== null && from_s - end_s > 1) push((end_s + from_s) / 2, []);
    const half = 1.96 * uInflow_m3s;
    const values = [inflow_m3s, Math.max(0, inflow_m3s - half), inflow_m3s + half].map((flow) =>
      toDisplay(flow, "flow", system),
    );
    push(from_s, values);
    push(to_s, values);
    end_s = to_s;
  }
  return columns;
}

/** What the pump moved in a group of neighbouring runs. */
export interface PumpMark {
  readonly time_s: number;
  readonly rate: number;
  readonly low: number;
  readonly high: number;
}

/** One mark for a run, or for the runs that share a slot of the span when there are more runs than slots. */
export function pumpMarks(cycles: readonly Cycle[], slot_s: number, system: UnitSystem): PumpMark[] {
  const slots = new Map<number, Cycle[]>();
  for (const cycle of cycles) {
    if (cycle.pumpRate === null) continue;
    const slot = Math.floor(cycle.startedAt_s / slot_s);
    const group = slots.get(slot);
    if (group) group.push(cycle);
    else slots.set(slot, [cycle]);
  }
  return [...slots.values()].map((group) => markOf(group, system)).sort((a, b) => a.time_s - b.time_s);
}

function markOf(group: readonly Cycle[], system: UnitSystem): PumpMark {
  let [time_s, rate, low, high] = [0, 0, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { startedAt_s, stoppedAt_s, pumpRate } of group) {
    if (pumpRate === null) continue;
    // A lone run shows its own interval; a group shows how far its runs lie apart.
    const half = group.length === 1 ? u95_m3s(pumpRate) : 0;
    time_s += (startedAt_s + stoppedAt_s) / 2 / group.length;
    rate += pumpRate.flow_m3s / group.length;
    low = Math.min(low, pumpRate.flow_m3s - half);
    high = Math.max(high, pumpRate.flow_m3s + half);
  }
  const display = (flow_m3s: number) => toDisplay(flow_m3s, "flow", system);
  return { time_s, rate: display(rate), low: display(low), high: display(high) };
}
