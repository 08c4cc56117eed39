// One chart over time: uPlot with our axes, colours and time zone. What it shows is handed to it; gestures are elsewhere.

import type uPlot from "uplot";
import type { Span } from "../../daemon/stores/store.ts";
import { siteTime } from "../site-time.ts";
import { canvasColour } from "./canvas-colour.ts";
import type { Columns } from "./columns.ts";
import { pointed } from "./record-span.ts";
import { timeTicks } from "./time-ticks.ts";

export interface TimeChartOptions {
  readonly host: HTMLElement;
  readonly timezone: string;
  readonly series: readonly uPlot.Series[];
  readonly bands: readonly uPlot.Band[];
  /** Draws beneath and above the series. */
  readonly under: (u: uPlot) => void;
  readonly over: (u: uPlot) => void;
  /** A stretch was marked with the mouse. */
  readonly marked: (span: Span) => void;
}

export interface TimeChart {
  readonly plot: uPlot;
  setSpan(span: Span): void;
  setData(columns: Columns, span: Span, top: number): void;
  repaint(): void;
  destroy(): void;
}

const axisFont = "13px system-ui, sans-serif";

/** Loads uPlot when the first chart is wanted, not before. */
export async function createTimeChart(options: TimeChartOptions): Promise<TimeChart> {
  const { default: UPlot } = await import("uplot");
  const { host, timezone } = options;
  const time = siteTime(timezone);
  let shown: Span = { from_s: 0, to_s: 1 };
  let top = 1;

  const size = () => ({ width: Math.max(120, host.clientWidth), height: Math.max(120, host.clientHeight) });
  const line = { stroke: () => canvasColour("--rule"), width: 1 };
  const axis = { stroke: () => canvasColour("--quiet"), font: axisFont, grid: line };
  const plot: uPlot = new UPlot(
    {
      ...size(),
      legend: { show: false },
      // At the right there is room for half of the last time.
      padding: [8, 24, 0, 0],
      tzDate: (time_s) => UPlot.tzDate(new Date(time_s * 1000), timezone),
      scales: {
        x: { time: true, range: () => [shown.from_s, shown.to_s] },
        y: { range: () => [0, top] },
      },
      axes: [
        {
          ...axis,
          space: 84,
          ticks: { ...line, size: 5 },
          values: (_u, splits, _axis, _space, step_s) => timeTicks(splits, step_s, time),
        },
        { ...axis, size: 46, gap: 6, ticks: { show: false }, space: 36 },
      ],
      series: [{}, ...options.series],
      bands: [...options.bands],
      cursor: {
        y: false,
        points: { show: false },
        drag: { x: true, y: false, setScale: false, dist: 6 },
        sync: { key: "record", setSeries: false },
        bind: {
          // With Shift held, a drag moves instead of marking.
          mousedown: (_u, _target, handle) => (event) => (event.shiftKey || event.button !== 0 ? null : handle(event)),
          dblclick: () => () => null,
        },
      },
      hooks: {
        drawClear: [options.under],
        draw: [options.over],
        setCursor: [
          (u) => {
            pointed.value = timeAt(u, u.cursor.left);
          },
        ],
        setSelect: [
          (u) => {
            const { left, width } = u.select;
            if (width < 6) return;
            u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
            options.marked({ from_s: u.posToVal(left, "x"), to_s: u.posToVal(left + width, "x") });
          },
        ],
      },
    },
    [[], ...options.series.map(() => [])],
    host,
  );
  const watcher = new ResizeObserver(() => plot.setSize(size()));
  watcher.observe(host);

  return {
    plot,
    setSpan(span) {
      shown = span;
      plot.setScale("x", { min: span.from_s, max: span.to_s });
    },
    setData(columns, span, newTop) {
      shown = span;
      top = newTop;
      plot.batch(() => {
        plot.setData(columns, false);
        plot.setScale("x", { min: span.from_s, max: span.to_s });
        plot.setScale("y", { min: 0, max: newTop });
      });
    },
    repaint: () => plot.redraw(false),
    destroy() {
      watcher.disconnect();
      plot.destroy();
    },
  };
}

function timeAt(plot: uPlot, left: number | undefined): number | null {
  return left === undefined || left < 0 ? null : plot.posToVal(left, "x");
}
