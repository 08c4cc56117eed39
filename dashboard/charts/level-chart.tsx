// Water level over time: the band between lowest and highest, the mean where it says something, runs shaded.

import type { ReadonlySignal } from "@preact/signals";
import type { BasinSite } from "../../analysis/site.ts";
import { figure, toDisplay, unitName } from "../format.ts";
import { units } from "../preferences.ts";
import { siteTime } from "../site-time.ts";
import { canvasColour } from "./canvas-colour.ts";
import { type LevelLine, paintLevels, paintRuns } from "./chart-paint.ts";
import { levelColumns } from "./columns.ts";
import type { RecordData } from "./record-data.ts";
import { pointed, show, visible } from "./record-span.ts";
import { withRunUnderWay } from "./runs.ts";
import { useTimeChart } from "./use-time-chart.ts";

interface Props {
  readonly data: ReadonlySignal<RecordData | null>;
  readonly basin: BasinSite;
  readonly timezone: string;
}

/** Buckets longer than this hold whole cycles: their mean says nothing about the level, only their range does. */
const longestTelling_s = 60;

export function LevelChart({ data, basin, timezone }: Props) {
  const telling = () => (data.peek()?.level.bucket_s ?? 0) <= longestTelling_s;
  const edge = () => (telling() ? canvasColour("--water-edge") : canvasColour("--water-bulk"));
  const host = useTimeChart(
    {
      timezone,
      series: [
        { stroke: edge, width: 1, points: { show: false } },
        { stroke: edge, width: 1, points: { show: false } },
        {
          stroke: () => (telling() ? canvasColour("--water") : "transparent"),
          width: 2,
          points: { show: false },
        },
      ],
      bands: [{ series: [2, 1], fill: () => canvasColour(telling() ? "--water-band" : "--water-bulk") }],
      under: (u) => paintRuns(u, withRunUnderWay(data.peek()?.cycles ?? [])),
      over: (u) => paintLevels(u, levelLines(basin)),
      marked: show,
    },
    (chart) => {
      const system = units.value;
      const span = visible.peek();
      if (!data.value || !span) return;
      const columns = levelColumns(data.value.level, system);
      const known_m = [basin.highLevel_m ?? basin.startLevel_m ?? 0, ...data.value.level.maximum_m];
      chart.setData(columns, span, toDisplay(largest(known_m) * 1.08 || 1, "level", system));
    },
  );

  return (
    <figure class="chart">
      <figcaption>
        <h2>
          Water level <span class="unit">{unitName("level", units.value)}</span>
        </h2>
        <p class="readout">{readout(data.value, pointed.value, timezone)}</p>
      </figcaption>
      <div
        ref={host}
        class="plot plot-level"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the plot takes keys: arrows, plus, minus, Home, End.
        tabIndex={0}
        role="img"
        aria-label="Water level over time. Arrow keys move, plus and minus zoom, Home goes to the beginning, End to now, 0 shows all."
      />
    </figure>
  );
}

function levelLines(basin: BasinSite): LevelLine[] {
  const lines: readonly (readonly [number | null, string, string, boolean?])[] = [
    [basin.overflowLevel_m, "floor", "--act"],
    [basin.highLevel_m, "high water", "--watch"],
    [basin.startLevel_m, "pump starts", "--quiet"],
    [basin.stopLevel_m, "pump stops", "--quiet", true],
  ];
  return lines.flatMap(([level_m, word, token, below = false]) =>
    level_m === null ? [] : [{ value: toDisplay(level_m, "level", units.peek()), word, token, below }],
  );
}

function readout(data: RecordData | null, time_s: number | null, timezone: string): string {
  if (!data) return "";
  if (time_s === null) return "Shaded: the pump runs";
  const { level } = data;
  const i = lastAtOrBefore(level.time_s, time_s);
  const start_s = level.time_s[i];
  const at = siteTime(timezone).stamp(time_s);
  if (start_s === undefined || time_s - start_s > Math.max(120, level.bucket_s * 1.5)) return `${at}  no reading`;
  const system = units.value;
  const [low, high, mean] = [level.minimum_m[i], level.maximum_m[i], level.mean_m[i]].map((level_m) =>
    figure(level_m ?? null, "level", system),
  );
  const unit = unitName("level", system);
  return low === high ? `${at}  ${mean} ${unit}` : `${at}  ${low} to ${high} ${unit}`;
}

export function lastAtOrBefore(times_s: readonly number[], time_s: number): number {
  let [low, high] = [0, times_s.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times_s[middle] ?? 0) <= time_s) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

function largest(values: readonly number[]): number {
  return values.reduce((most, value) => Math.max(most, value), 0);
}
