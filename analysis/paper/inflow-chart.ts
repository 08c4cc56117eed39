// The inflow of the record over time: its mean and its highest in each column of the picture, and where the peak was.
// SVG, for page and paper alike.

import type { InflowStretch } from "../analyzer.ts";
import { quantity, toDisplay, type UnitSystem, unitName } from "../units/display.ts";
import { chartFrame, linePath, n, type Size, upTo } from "./chart-frame.ts";
import { dayTicks } from "./day-ticks.ts";
import { type Html, html } from "./html.ts";

export interface InflowChart {
  readonly size: Size;
  readonly units: UnitSystem;
  readonly timezone: string;
  /** In order of time; what lies between two stretches was not seen. */
  readonly inflow: readonly InflowStretch[];
  /** The highest ten minutes. */
  readonly peak: { readonly time_s: number; readonly flow_m3s: number } | null;
  /** What must be pumped. */
  readonly required_m3s: number | null;
}

export function inflowChart(chart: InflowChart): Html | null {
  const { inflow, units, size, peak, required_m3s } = chart;
  const [first, last] = [inflow[0], inflow.at(-1)];
  if (first === undefined || last === undefined || !(last.to_s > first.from_s)) return null;
  const [from_s, to_s] = [first.from_s, last.to_s];
  const flow = (flow_m3s: number) => toDisplay(flow_m3s, "flow", units);
  const columns = inflowColumns(inflow, from_s, to_s, Math.max(2, Math.round(size.width / 1.5)));
  const highest_m3s = Math.max(
    peak?.flow_m3s ?? 0,
    required_m3s ?? 0,
    ...columns.map((column) => column?.highest ?? 0),
  );
  const frame = chartFrame(
    size,
    { from: from_s, to: to_s, name: "", ticks: dayTicks(from_s, to_s, chart.timezone, size.width) },
    { ...upTo(flow(highest_m3s)), name: `Inflow, ${unitName("flow", units)}` },
  );
  const middle_s = (i: number) => from_s + ((i + 0.5) * (to_s - from_s)) / columns.length;
  const line = (kind: "mean" | "highest") =>
    linePath(
      columns.map((column, i) => (column === null ? null : [frame.x(middle_s(i)), frame.y(flow(column[kind]))])),
    );
  return html`<svg class="chart inflow-chart" viewBox="0 0 ${size.width} ${size.height}" role="img" aria-label="${inWords(chart, from_s, to_s)}">
${frame.axes}
<path class="inflow-highest" d="${line("highest")}"/>
<path class="inflow-mean" d="${line("mean")}"/>
${required_m3s !== null && html`<path class="required-lines" d="M${n(frame.left)} ${n(frame.y(flow(required_m3s)))}H${n(frame.right)}"/><text class="note" x="${n(frame.right - 4)}" y="${n(frame.y(flow(required_m3s)) + 13)}" text-anchor="end">required</text>`}
${peak !== null && html`<circle class="peak" cx="${n(frame.x(peak.time_s))}" cy="${n(frame.y(flow(peak.flow_m3s)))}" r="5"/>`}
</svg>`;
}

export interface InflowColumn {
  readonly mean: number;
  readonly highest: number;
}

/** Time-weighted mean and highest inflow in each of so many equal parts of the time; null where none was seen. */
export function inflowColumns(
  inflow: readonly InflowStretch[],
  from_s: number,
  to_s: number,
  count: number,
): (InflowColumn | null)[] {
  const wide_s = (to_s - from_s) / count;
  const sums = Array.from({ length: count }, () => ({ seen_s: 0, volume_m3: 0, highest: Number.NEGATIVE_INFINITY }));
  for (const stretch of inflow) {
    const first = Math.max(0, Math.floor((stretch.from_s - from_s) / wide_s));
    for (let i = first; i < count && from_s + i * wide_s < stretch.to_s; i++) {
      const sum = sums[i];
      const seen_s = Math.min(stretch.to_s, from_s + (i + 1) * wide_s) - Math.max(stretch.from_s, from_s + i * wide_s);
      if (sum === undefined || !(seen_s > 0)) continue;
      sum.seen_s += seen_s;
      sum.volume_m3 += seen_s * stretch.inflow_m3s;
      sum.highest = Math.max(sum.highest, stretch.inflow_m3s);
    }
  }
  return sums.map(({ seen_s, volume_m3, highest }) => (seen_s > 0 ? { mean: volume_m3 / seen_s, highest } : null));
}

const day_s = 86_400;

function inWords({ units, peak, required_m3s }: InflowChart, from_s: number, to_s: number): string {
  const days = ((to_s - from_s) / day_s).toFixed(1);
  const highest = peak === null ? "" : `; the highest ten minutes came to ${quantity(peak.flow_m3s, "flow", units)}`;
  const needed = required_m3s === null ? "" : `; ${quantity(required_m3s, "flow", units)} must be pumped`;
  return `Inflow over ${days} days${highest}${needed}.`;
}
