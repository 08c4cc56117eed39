// Rain of a basin's whole record out of the shared database: depths summed up there by five minutes, which is as fine as
// the stretches are, and beside them when the board was there at all.

import { type RainStretch, rainCollector } from "../../../analysis/storms/rain.ts";
import type { AskBasin } from "./basin-query.ts";
import { numberIn, type Row } from "./line-values.ts";
import { fromSteps } from "./steps.ts";

const step_s = 300;

export async function rainQuery(ask: AskBasin): Promise<RainStretch[] | null> {
  const rows = await ask({
    select: [
      ...["sum(rain_m_steps) AS steps", "min(rain_m_grid) AS grid", "max(rain_m_grid) AS lastGrid", "sum(rain_m) AS m"],
      ...["level_m_steps", "level_m", "pumpOn", "floatOn"].map((channel, i) => `count(${channel}) AS there${i}`),
    ],
    from: "reading",
    where: "time >= 0",
    rest: `GROUP BY time(${step_s}s) fill(none)`,
  });
  const collector = rainCollector();
  for (const row of rows) collector.push({ time_s: (row.time as number) / 1e6 + step_s, rain_m: depthIn(row) });
  return collector.stretches();
}

function depthIn(row: Row): number | null {
  const [steps, grid, m] = [numberIn(row, "steps"), numberIn(row, "grid"), numberIn(row, "m")];
  if (steps === null && m === null) return null;
  return (steps === null || grid === null ? 0 : fromSteps(grid, steps)) + (m ?? 0);
}
