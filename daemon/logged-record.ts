// What sizing and what-if take from a recording: the report's summary, the inflow stretch by stretch, the rain, and what
// the motor drew. The analysis is the same as anywhere.

import { createAnalyzer, type InflowStretch } from "../analysis/analyzer.ts";
import { readerOf } from "../analysis/readings/reading-rows.ts";
import type { Site } from "../analysis/site.ts";
import { inflowPerLevel } from "../analysis/sizing/inflow-per-level.ts";
import type { LoggedRecord } from "../analysis/sizing/request.ts";
import { type RainStretch, rainCollector } from "../analysis/storms/rain.ts";
import { type RainRow, rainFromRows } from "../analysis/storms/rain-rows.ts";
import type { RowTaker } from "./read-for-analysis.ts";
import { medianOfMany } from "./report/median-of-many.ts";

export interface RecordCollector extends RowTaker {
  /** Call once, when all rows are through. */
  finish(): LoggedRecord;
}

export function collectRecord(site: Site): RecordCollector {
  let parts = begin(site);
  return {
    push: (table, from, to) => {
      parts.analyzer.pushRows(table, from, to);
      if (!table.channels.includes("rain_m")) return;
      const read = readerOf(table);
      for (let row = from; row < to; row++) parts.rain.push(read(row));
    },
    restart: () => {
      parts = begin(site);
    },
    finish: () => {
      const { analyzer, inflow, rain, drawn, perLevel } = parts;
      const [start_m, stop_m] = [parts.starts.median(), parts.stops.median()];
      analyzer.finish();
      return {
        summary: analyzer.summary(),
        pumpRate: analyzer.overAll().pumpRate,
        inflow,
        rain: rain.stretches(),
        runningPower_w: drawn.power.median(),
        trips: start_m === null || stop_m === null ? null : { start_m, stop_m },
        inflowPerLevel: perLevel.result(),
      };
    },
  };
}

function begin(site: Site) {
  const inflow: InflowStretch[] = [];
  const [starts, stops] = [medianOfMany(), medianOfMany()];
  const drawn = { power: medianOfMany() };
  const perLevel = inflowPerLevel();
  const analyzer = createAnalyzer(site, {
    sink: {
      cycle: (cycle, stage) => {
        if (stage !== "settled") return;
        if (cycle.runningPower != null) drawn.power.add(cycle.runningPower.mean);
        if (cycle.startLevel_m !== null) starts.add(cycle.startLevel_m);
        if (cycle.stopLevel_m !== null) stops.add(cycle.stopLevel_m);
        perLevel.cycle(cycle);
      },
      inflow: (stretch) => {
        inflow.push(stretch);
        perLevel.inflow(stretch);
      },
      // There was no level: what goes by it is empty.
      takenBack: () => {
        inflow.length = 0;
        drawn.power = medianOfMany();
      },
    },
  });
  return { inflow, drawn, starts, stops, perLevel, rain: rainCollector(), analyzer };
}

/** So many rows are no list of a gauge's steps any more but readings, and are gathered as those. */
const mostRows = 500_000;

/** Rain of a file of its own, in place of the recording's: at any step, or with rows only where it rained. */
export function collectRain(): RowTaker & { stretches(): RainStretch[] | null } {
  let rain = rainCollector();
  let rows: RainRow[] = [];
  return {
    push: (table, from, to) => {
      const read = readerOf(table);
      for (let row = from; row < to; row++) {
        const { time_s, rain_m } = read(row);
        rain.push({ time_s, rain_m });
        if (rain_m !== null && rows.length <= mostRows) rows.push({ time_s, rain_m });
      }
    },
    restart: () => {
      rain = rainCollector();
      rows = [];
    },
    stretches: () => (rows.length > mostRows ? rain.stretches() : rainFromRows(rows)),
  };
}
