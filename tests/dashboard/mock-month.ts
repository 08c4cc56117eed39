// A month of an invented basin: it fills evenly, faster after rain, and is emptied at a steady rate.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { LevelSeries, Span } from "../../daemon/stores/store.ts";

export const start_m = 0.36;
export const stop_m = 0.15;
const area_m2 = 0.159;
export const pump_m3s = 1.55e-3;
export const day_s = 86_400;

/** Slow swell of the ground water with a storm every ten days. */
function inflowAt(time_s: number): number {
  const days = time_s / day_s;
  const sinceStorm = (days % 10) - 3;
  const storm = sinceStorm > 0 ? 4.5e-4 * sinceStorm * 4 * Math.exp(-sinceStorm * 2.2) : 0;
  return 4e-5 * (1.3 + Math.sin(days)) + storm;
}

export function cyclesOf(record: Span): Cycle[] {
  const active_m3 = (start_m - stop_m) * area_m2;
  const cycles: Cycle[] = [];
  for (let time_s = record.from_s; ; ) {
    const inflow_m3s = inflowAt(time_s);
    const rest_s = active_m3 / inflow_m3s;
    const run_s = active_m3 / (pump_m3s - inflow_m3s);
    const startedAt_s = time_s + rest_s;
    if (startedAt_s + run_s > record.to_s) return cycles;
    const wobble = Math.sin(cycles.length * 1.7);
    cycles.push({
      startedAt_s,
      stoppedAt_s: startedAt_s + run_s,
      run_s,
      rest_s: cycles.length === 0 ? null : rest_s,
      startLevel_m: start_m,
      stopLevel_m: stop_m,
      inflow: { flow_m3s: inflow_m3s, uFlow_m3s: inflow_m3s * 0.012, degreesOfFreedom: 60, method: "fill-slope" },
      pumpRate: { flow_m3s: pump_m3s * (1 + 0.01 * wobble), uFlow_m3s: 1.8e-5, degreesOfFreedom: 14 },
      drainBack_m3: 3.2e-4 + 5e-5 * wobble,
    });
    time_s = startedAt_s + run_s;
  }
}

/** Index of the last cycle that began at or before a time; −1 before the first. */
function cycleAt(cycles: readonly Cycle[], time_s: number): number {
  let [low, high] = [0, cycles.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((cycles[middle]?.startedAt_s ?? 0) <= time_s) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

function levelAt(cycles: readonly Cycle[], time_s: number): number {
  const i = cycleAt(cycles, time_s);
  const cycle = cycles[i];
  if (cycle && time_s < cycle.stoppedAt_s) {
    return start_m - ((start_m - stop_m) * (time_s - cycle.startedAt_s)) / cycle.run_s;
  }
  const from_s = cycle?.stoppedAt_s ?? time_s;
  const next_s = cycles[i + 1]?.startedAt_s ?? from_s + 1200;
  return stop_m + ((start_m - stop_m) * (time_s - from_s)) / (next_s - from_s);
}

export function levelIn(span: Span, points: number, cycles: readonly Cycle[]): LevelSeries {
  const bucket_s = Math.max(1, Math.ceil((span.to_s - span.from_s) / points));
  const series = {
    time_s: [] as number[],
    minimum_m: [] as number[],
    maximum_m: [] as number[],
    mean_m: [] as number[],
  };
  for (let time_s = span.from_s; time_s < span.to_s; time_s += bucket_s) {
    const levels = Array.from({ length: 8 }, (_, i) => levelAt(cycles, time_s + (bucket_s * i) / 8));
    const noise = 0.0012 * Math.sin(time_s * 12.9898);
    series.time_s.push(time_s);
    series.minimum_m.push(Math.min(...levels) - Math.abs(noise));
    series.maximum_m.push(Math.max(...levels) + Math.abs(noise));
    series.mean_m.push(levels.reduce((sum, level) => sum + level, 0) / levels.length + noise);
  }
  return { bucket_s, ...series };
}

export function inflowIn(span: Span, points: number, cycles: readonly Cycle[]): InflowStretch[] {
  const within = cycles.filter((cycle) => cycle.stoppedAt_s >= span.from_s && cycle.startedAt_s <= span.to_s);
  const step = Math.max(1, Math.ceil(within.length / points));
  return within
    .filter((_, i) => i % step === 0)
    .map((cycle, i, kept) => ({
      from_s: cycle.startedAt_s - (cycle.rest_s ?? 600),
      to_s: (kept[i + 1]?.startedAt_s ?? cycle.stoppedAt_s) - (kept[i + 1]?.rest_s ?? 0),
      inflow_m3s: cycle.inflow?.flow_m3s ?? 0,
      uInflow_m3s: cycle.inflow?.uFlow_m3s ?? 0,
    }));
}

export function newest(cycles: readonly Cycle[], span: Span, limit: number): Cycle[] {
  const within = cycles.filter((cycle) => cycle.stoppedAt_s >= span.from_s && cycle.startedAt_s <= span.to_s);
  return within.reverse().slice(0, limit);
}

export function clip(span: Span, record: Span): Span {
  return { from_s: Math.max(span.from_s, record.from_s), to_s: Math.min(span.to_s, record.to_s) };
}
