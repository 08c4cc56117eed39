// A recording through the analysis, and what a what-if keeps of it: the inflow, what the runs taught, the rain, and where
// the water really stood.

import { createAnalyzer } from "../analysis/analyzer.ts";
import { readerOf } from "../analysis/readings/reading-rows.ts";
import type { ReportSummary } from "../analysis/report/report.ts";
import type { Site } from "../analysis/site.ts";
import { type RainStretch, rainCollector } from "../analysis/storms/rain.ts";
import { highestStanding } from "../analysis/whatif/highest-standing.ts";
import { listenToRecording, type RecordedCourse } from "../analysis/whatif/learn-recorded.ts";
import type { KnownInstallation } from "../analysis/whatif/plan.ts";
import type { RowTaker } from "./read-for-analysis.ts";

export interface WhatHappened {
  readonly summary: ReportSummary;
  readonly course: RecordedCourse;
  readonly known: KnownInstallation;
  readonly rain: readonly RainStretch[] | null;
  readonly highest_m: number | null;
  /** The water stood at the rim for so long: what ran over, no level shows. */
  readonly atRim_s: number;
  /** Where it stood when the inflow begins; null: at a stop, or not known. */
  readonly firstLevel_m: number | null;
}

export interface WhatIfListener extends RowTaker {
  /** Call once, when all rows are through. */
  finish(): WhatHappened;
}

/** The first reading tells where a replay begins if it is so near. */
const near_s = 30;
/** As far over the rim as a sensor may read. */
const above_m = 0.3;
const deepest_m = 100;

export function listenForWhatIf(site: Site): WhatIfListener {
  let parts = begin(site);
  return {
    push(table, from, to) {
      parts.analyzer.pushRows(table, from, to);
      const level_m = table.columns[table.channels.indexOf("level_m")];
      if (level_m !== undefined) {
        for (let row = from; row < to; row++) {
          parts.standing.push((table.time_ms[row] as number) / 1000, level_m[row] as number);
        }
      }
      if (!table.channels.includes("rain_m")) return;
      const read = readerOf(table);
      for (let row = from; row < to; row++) parts.rain.push(read(row));
    },
    restart() {
      parts = begin(site);
    },
    finish() {
      const { analyzer, listener, standing, rain } = parts;
      analyzer.finish();
      const summary = analyzer.summary();
      const course = listener.course();
      const { first } = standing;
      const begins_s = course.inflow[0]?.from_s ?? Number.NaN;
      return {
        summary,
        course,
        known: listener.known(summary, analyzer.overAll().pumpRate),
        rain: rain.stretches(),
        highest_m: standing.highest_m,
        atRim_s: standing.atRim_s,
        firstLevel_m: first !== null && Math.abs(begins_s - first.time_s) <= near_s ? first.level_m : null,
      };
    },
  };
}

function begin(site: Site) {
  const listener = listenToRecording(site);
  const rim_m = site.basin.overflowLevel_m ?? site.basin.depth_m;
  return {
    listener,
    analyzer: createAnalyzer(site, { sink: listener.sink }),
    standing: highestStanding(rim_m, rim_m === null ? deepest_m : rim_m + above_m),
    rain: rainCollector(),
  };
}
