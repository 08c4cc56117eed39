// What comes in against what the pump moves, over the same time as the level.

import { type ReadonlySignal, useSignal } from "@preact/signals";
import { figure, shortFlow, unitName } from "../format.ts";
import { units } from "../preferences.ts";
import { siteTime } from "../site-time.ts";
import { canvasColour } from "./canvas-colour.ts";
import { paintPump } from "./chart-paint.ts";
import { inflowColumns, type PumpMark, pumpMarks } from "./columns.ts";
import type { RecordData } from "./record-data.ts";
import { pointed, show, visible } from "./record-span.ts";
import { width_s } from "./span.ts";
import { useTimeChart } from "./use-time-chart.ts";

interface Props {
  readonly data: ReadonlySignal<RecordData | null>;
  readonly timezone: string;
}

/** Marks of the pump across the chart; more runs than that share a mark. */
const slots = 90;

export function InflowChart({ data, timezone }: Props) {
  const marks = useSignal<readonly PumpMark[]>([]);
  const slot_s = () => width_s(visible.peek() ?? { from_s: 0, to_s: 0 }) / slots;
  const host = useTimeChart(
    {
      timezone,
      series: [
        { stroke: () => canvasColour("--inflow"), width: 2, points: { show: false } },
        { points: { show: false }, width: 0 },
        { points: { show: false }, width: 0 },
      ],
      bands: [{ series: [3, 2], fill: () => canvasColour("--inflow-band") }],
      under: () => {},
      over: (u) => paintPump(u, marks.peek(), slot_s()),
      marked: show,
    },
    (chart) => {
      const system = units.value;
      const span = visible.peek();
      if (!data.value || !span) return;
      const columns = inflowColumns(data.value.stretches, system);
      marks.value = pumpMarks(data.value.cycles, slot_s(), system);
      const highest = marks.value.reduce((most, mark) => Math.max(most, mark.high), 0);
      const most = (columns[3] ?? []).reduce<number>((top, value) => Math.max(top, value ?? 0), highest);
      chart.setData(columns, span, most * 1.1 || 1);
    },
  );

  return (
    <figure class="chart">
      <figcaption>
        <h2>
          Inflow against the pump <span class="unit">{unitName("flow", units.value)}</span>
        </h2>
        <p class="key">
          <span class="key-inflow">comes in</span> <span class="key-pump">the pump moves</span>
        </p>
        <p class="readout">{readout(data.value, pointed.value, timezone)}</p>
      </figcaption>
      <div
        ref={host}
        class="plot plot-inflow"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the plot takes keys: arrows, plus, minus, Home, End.
        tabIndex={0}
        role="img"
        aria-label="Inflow and pump rate over time. Same keys as the chart above."
      />
      {data.value?.cyclesCut && (
        <p class="quiet">More runs than can be told apart: the pump is drawn for the newest only.</p>
      )}
    </figure>
  );
}

function readout(data: RecordData | null, time_s: number | null, timezone: string): string {
  if (!data || time_s === null) return "";
  const system = units.value;
  const at = siteTime(timezone).stamp(time_s);
  const unit = unitName("flow", system);
  const stretch = data.stretches.find(({ from_s, to_s }) => from_s <= time_s && time_s <= to_s);
  const run = data.cycles.find((cycle) => cycle.startedAt_s <= time_s && cycle.pumpRate !== null);
  const inflow = stretch ? `in ${figure(stretch.inflow_m3s, "flow", system)} ${unit}` : "inflow not known";
  const pump = run?.pumpRate ? `, pump ${shortFlow(run.pumpRate, system)} ${unit}` : "";
  return `${at}  ${inflow}${pump}`;
}
