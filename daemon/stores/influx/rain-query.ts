// Rain of a basin's whole record out of the shared database: depths summed up there by five minutes, which is as fine as
// the stretches are, and beside them when the board was there at all.

import { type RainStretch, rainCollector } from "../../../analysis/storms/rain.ts";
import { type AskBasin, askByTime } from "./basin-query.ts";
import { extentQuery } from "./extent-query.ts";
import { numberIn, type Row } from "./line-values.ts";
import { readingsQuery } from "./readings-query.ts";
import { fromSteps } from "./steps.ts";

const step_s = 300;

export async function rainQuery(ask: AskBasin): Promise<RainStretch[] | null> {
  const extent = await extentQuery(ask);
  const select = [
    ...["sum(rain_m_steps) AS steps", "min(rain_m_grid) AS grid", "max(rain_m_grid) AS lastGrid", "sum(rain_m) AS m"],
    ...["level_m_steps", "level_m", "pumpOn", "floatOn"].map((channel, i) => `count(${channel}) AS there${i}`),
  ];
  const span = { from_s: extent?.readingsFrom_s ?? Number.POSITIVE_INFINITY, to_s: extent?.record.to_s ?? 0 };
  const rows = await askByTime(ask, { select, from: "reading" }, span, step_s);
  const collector = rainCollector();
  for (const row of rows) {
    const from_s = (row.time as number) / 1e6;
    const depth_m = depthIn(row);
    const rain_m = depth_m === undefined ? await depthOfEach(ask, from_s) : depth_m;
    collector.push({ time_s: from_s + step_s, rain_m });
  }
  return collector.stretches();
}

/** Undefined where the gauge's step changed meanwhile: then the database's sum is none. */
function depthIn(row: Row): number | null | undefined {
  const [steps, grid, others_m] = ["steps", "grid", "m"].map((name) => numberIn(row, name));
  if (steps == null || grid == null) return others_m ?? null;
  return grid === row.lastGrid ? fromSteps(grid, steps) + (others_m ?? 0) : undefined;
}

async function depthOfEach(ask: AskBasin, from_s: number): Promise<number> {
  let rain_m = 0;
  for await (const some of readingsQuery(ask, { from_s, to_s: from_s + step_s })) {
    for (const reading of some) if (reading.time_s < from_s + step_s) rain_m += reading.rain_m ?? 0;
  }
  return rain_m;
}
