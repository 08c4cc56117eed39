// The floats in the sizing answer: does the volume between them keep the starts to those allowed and the runs long enough,
// and where should they be set in this basin? The sums of one cycle are cycling.ts's.

import type { InflowStretch } from "../analyzer.ts";
import type { FlowEstimate } from "../cycles/cycle.ts";
import type { Site } from "../site.ts";
import { words } from "../units/words.ts";
import { activeVolume } from "./active-volume.ts";
import type { SizingCycle, SizingFloats } from "./answer/basin.ts";
import { cycling, mostStartsPerHour } from "./cycling.ts";
import type { Demand } from "./demand.ts";
import { messageOf, stepsOf } from "./float-words.ts";
import { raiseStart } from "./raise-start.ts";
import type { InflowPerLevel } from "./request.ts";
import { neededVolume, setLevels } from "./set-levels.ts";
import { half, known, lpm } from "./to-answer.ts";

export interface FloatsRequest {
  readonly site: Site;
  readonly demand: Demand;
  /** The most that the pump moves in a cycle. */
  readonly pump_m3s: number;
  readonly inflow: readonly InflowStretch[];
  readonly inflowPerLevel: InflowPerLevel | null;
}

export function floatsAnswer(request: FloatsRequest): SizingFloats {
  const { site, demand, pump_m3s } = request;
  const { pump, basin } = site;
  const say = words(site.displayUnits);
  const active = activeVolume(site);
  const allowed = pump?.maxStartsPerHour ?? null;
  const minRun_s = pump?.minRun_s ?? null;
  const needed = neededVolume(pump_m3s, allowed, minRun_s);
  const set = needed === null ? null : setLevels(basin, needed.volume_m3, pump_m3s);
  const run_s = active === null ? null : active.volume_m3 / pump_m3s;
  const enough = active !== null && needed !== null && active.volume_m3 >= needed.volume_m3 * (1 - 1e-9);
  return {
    active: active && { l: active.volume_m3 * 1000, u95_l: known(half(active.u_m3) * 1000), from: active.from },
    pump_lpm: lpm(pump_m3s),
    allowed_starts_per_hour: allowed,
    needed: needed && {
      volume_l: needed.volume_m3 * 1000,
      for_starts_l: needed.forStarts_m3 && needed.forStarts_m3 * 1000,
      for_run_l: needed.forRun_m3 && needed.forRun_m3 * 1000,
      alternating_l: Math.max((needed.forStarts_m3 ?? 0) / 2, needed.forRun_m3 ?? 0) * 1000,
      cycle_s: allowed === null ? null : 3600 / allowed,
      enough,
    },
    most_starts_per_hour: active && mostStartsPerHour(active.volume_m3, pump_m3s),
    shortest_run_s: run_s,
    min_run_s: minRun_s,
    run_long_enough: run_s === null || minRun_s === null ? null : run_s >= minRun_s,
    set,
    message: messageOf(request, needed?.volume_m3 ?? null, enough, set, say),
    raise_start: active && raiseStart(request, active.volume_m3),
    cycles: active === null ? [] : cyclesOf(active.volume_m3, pump_m3s, demand),
    steps: stepsOf(request, active?.volume_m3 ?? null, needed, say),
  };
}

function cyclesOf(active_m3: number, pump_m3s: number, { mean, dry, peak, requiredFlow }: Demand): SizingCycle[] {
  const inflows: readonly (readonly [string, FlowEstimate | null])[] = [
    ["in dry weather", dry],
    ["at the mean inflow", mean],
    ["at the measured peak", peak],
    ["at the required flow", requiredFlow],
    ["at half of what the pump moves, when it starts most often", halfOf(pump_m3s)],
  ];
  return inflows.flatMap(([when, inflow]) => {
    if (inflow === null || !(inflow.flow_m3s >= 0)) return [];
    const { fill_s, run_s, cycle_s, startsPerHour } = cycling(active_m3, pump_m3s, inflow.flow_m3s);
    return [
      {
        when,
        inflow_lpm: lpm(inflow.flow_m3s),
        fill_s,
        run_s,
        cycle_s,
        starts_per_hour: cycle_s === null ? null : startsPerHour,
      },
    ];
  });
}

function halfOf(pump_m3s: number): FlowEstimate {
  return { flow_m3s: pump_m3s / 2, uFlow_m3s: 0, degreesOfFreedom: Number.POSITIVE_INFINITY };
}
