// The paths of the small trend: band between lowest and highest, line of the mean, shading of the runs. Pure.

import type { LevelSeries, Span } from "../../daemon/stores/store.ts";
import { levelColumns } from "../charts/columns.ts";
import type { Run } from "../charts/run-coverage.ts";

export interface TrendInput {
  readonly span: Span;
  readonly level: LevelSeries;
  readonly runs: readonly Run[];
  readonly top_m: number;
  readonly width: number;
  readonly height: number;
}

export function trendPaths({ span, level, runs, top_m, width, height }: TrendInput) {
  const x = (time_s: number) => (((time_s - span.from_s) / (span.to_s - span.from_s)) * width).toFixed(1);
  const y = (level_cm: number) => (height * (1 - level_cm / 100 / top_m)).toFixed(1);
  const [time = [], low = [], high = [], mean = []] = levelColumns(level, "metric");

  const stretches = unbroken(mean);
  const outline = (at: readonly (number | null)[], from: number, to: number) =>
    time.slice(from, to).map((t, i) => `${x(t)} ${y(at[from + i] ?? 0)}`);

  return {
    line: stretches.map(([from, to]) => `M${outline(mean, from, to).join("L")}`).join(""),
    band: stretches
      .map(([from, to]) => `M${[...outline(high, from, to), ...outline(low, from, to).reverse()].join("L")}Z`)
      .join(""),
    runs: runs.map((run) => `M${x(run.startedAt_s)} 0H${x(run.stoppedAt_s)}V${height}H${x(run.startedAt_s)}Z`).join(""),
  };
}

/** Index ranges without a hole, end exclusive. */
function unbroken(values: readonly (number | null)[]): [number, number][] {
  const ranges: [number, number][] = [];
  let from = 0;
  for (let i = 0; i <= values.length; i++) {
    if (i < values.length && values[i] !== null) continue;
    if (i > from) ranges.push([from, i]);
    from = i + 1;
  }
  return ranges;
}
