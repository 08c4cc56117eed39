// What raising the start level by an inch, or 25 mm, would do: fewer starts, and less water pumped where the inflow slackens as the
// basin fills.

import type { InflowStretch } from "../analyzer.ts";
import { basinGeometry } from "../geometry/basin.ts";
import { toSi } from "../units/unit.ts";
import type { SizingRaise } from "./answer/basin.ts";
import type { FloatsRequest } from "./float-levels.ts";
import { highestStart } from "./set-levels.ts";

/** As much as a float is moved by hand, in whole units of the site. */
const by = { us: toSi(1, "in"), metric: toSi(25, "mm") } as const;
const day_s = 86_400;

/**
 * Starts go by the volume between the floats: in each stretch of the record q·(1 − q/Q)/V. The mean level of a cycle rises
 * by half of what the start level does, and the inflow with it as it was seen to go.
 *
 * @param active_m3 volume between the floats as they are
 * @returns null without an inflow, a start level or a stop level
 */
export function raiseStart(request: FloatsRequest, active_m3: number): SizingRaise | null {
  const { site, pump_m3s, demand, inflow, inflowPerLevel } = request;
  const { startLevel_m, geometry } = site.basin;
  const by_m = by[site.displayUnits];
  const held = demand.mean ?? demand.peak;
  const stretches = inflow.length > 0 ? inflow : steady(held?.flow_m3s ?? null);
  if (startLevel_m === null || stretches.length === 0) return null;
  const { volume_m3 } = basinGeometry(geometry);
  const then_m3 = active_m3 + volume_m3(startLevel_m + by_m) - volume_m3(startLevel_m);
  const share = inflowPerLevel === null ? 0 : (inflowPerLevel.share_1m * by_m) / 2;
  const now = perDay(stretches, active_m3, pump_m3s, 1);
  const then = perDay(stretches, then_m3, pump_m3s, Math.max(0, 1 + share));
  const highest = highestStart(site.basin);
  return {
    at: inflow.length > 0 ? "record" : demand.mean !== null ? "mean" : "peak",
    by_mm: by_m * 1000,
    start_mm: (startLevel_m + by_m) * 1000,
    fits: highest === null || startLevel_m + by_m <= highest.level_m + 1e-9,
    starts_per_day: now.starts,
    starts_per_day_then: then.starts,
    pumped_l_per_day: inflowPerLevel === null ? null : now.volume_m3 * 1000,
    pumped_l_per_day_then: inflowPerLevel === null ? null : then.volume_m3 * 1000,
  };
}

function steady(flow_m3s: number | null): InflowStretch[] {
  return flow_m3s === null ? [] : [{ from_s: 0, to_s: day_s, inflow_m3s: flow_m3s, uInflow_m3s: 0 }];
}

function perDay(stretches: readonly InflowStretch[], active_m3: number, pump_m3s: number, share: number) {
  let [time_s, starts, volume_m3] = [0, 0, 0];
  for (const { from_s, to_s, inflow_m3s } of stretches) {
    const flow_m3s = Math.max(0, inflow_m3s * share);
    const lasts_s = to_s - from_s;
    time_s += lasts_s;
    volume_m3 += flow_m3s * lasts_s;
    starts += (flow_m3s * Math.max(0, 1 - flow_m3s / pump_m3s) * lasts_s) / active_m3;
  }
  const days = time_s / day_s;
  return { starts: starts / days, volume_m3: volume_m3 / days };
}
