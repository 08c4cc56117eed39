// The last hours at a glance: the level's band and the pump's runs. The record view has the instrument to look closer.

import { useComputed, useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useMemo } from "preact/hooks";
import type { LevelSeries, Span } from "../../daemon/stores/store.ts";
import { api } from "../api.ts";
import type { Run } from "../charts/run-coverage.ts";
import { withRunUnderWay } from "../charts/runs.ts";
import { createSpanLoader } from "../charts/span-loader.ts";
import { live, now_s, site } from "../live.ts";
import { trendPaths } from "./trend-paths.ts";

const hours = 3;
const size = { width: 600, height: 110 };

interface Shown {
  readonly span: Span;
  readonly level: LevelSeries;
  readonly runs: readonly Run[];
}

export function Trend() {
  const shown = useSignal<Shown | null>(null);
  const loader = useMemo(
    () =>
      createSpanLoader<Shown>({
        async fetch(span, points, signal) {
          const [level, { cycles }] = await Promise.all([
            api.level(span, points, signal),
            api.cycles(span, 300, signal),
          ]);
          return { span, level, runs: withRunUnderWay(cycles) };
        },
        done: (answer) => {
          shown.value = answer;
        },
        // The connection bar tells; the old drawing stays.
        failed: () => {},
      }),
    [shown],
  );
  useEffect(() => () => loader.stop(), [loader]);

  // A step of the drawing is a pixel or so, or two real seconds when time is played fast.
  const step = useComputed(() => Math.floor(now_s.value / Math.max(20, 2 * (live.value?.speed ?? 1))));
  useSignalEffect(() => {
    if (step.value > 0) {
      const to_s = now_s.peek();
      loader.want({ from_s: to_s - hours * 3600, to_s }, 300, "time");
    }
  });

  const basin = site.value?.site.basin;
  if (!shown.value || !basin) return <div class="trend" />;
  const { span, level, runs } = shown.value;
  const top_m = Math.max(basin.highLevel_m ?? basin.startLevel_m ?? 0, ...level.maximum_m) * 1.08;
  const drawn = trendPaths({ span, level, runs, top_m, ...size });
  const high = basin.highLevel_m === null ? null : size.height * (1 - basin.highLevel_m / top_m);
  return (
    <figure class="trend">
      <figcaption>
        Water level, last {hours} hours. Shaded: the pump runs. <a href="#record">Open the record</a>
      </figcaption>
      <svg viewBox={`0 0 ${size.width} ${size.height}`} preserveAspectRatio="none" aria-hidden="true">
        <path class="trend-runs" d={drawn.runs} />
        <path class="trend-band" d={drawn.band} />
        <path class="trend-line" d={drawn.line} />
        {high !== null && <path class="trend-high" d={`M0 ${high}H${size.width}`} />}
      </svg>
      <p class="trend-ends">
        <span>{hours} h ago</span>
        <span>now</span>
      </p>
    </figure>
  );
}
