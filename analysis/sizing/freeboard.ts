// How long until water reaches the floor if the pump stops now: the room above the water, by the basin's own shape, over
// what comes in.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { basinGeometry } from "../geometry/basin.ts";
import type { Site } from "../site.ts";
import { words } from "../units/words.ts";
import type { SizingFreeboard } from "./answer/basin.ts";
import type { HandStep, SizingFlowRange, SizingTime } from "./answer/figures.ts";
import type { Demand } from "./demand.ts";
import { overHeight } from "./float-words.ts";
import type { StormDemand } from "./storm-demand.ts";
import { half, known, m3s, sizingFlow, timeToFill } from "./to-answer.ts";

type Case = SizingFreeboard["cases"][number];
type FromLevel = Case["from_start"];

/**
 * @param storm for the highest ten minutes of the storm to hold; null: none
 * @returns null where it is not known at which level water reaches the floor, or what comes in
 */
export function freeboardAnswer(site: Site, demand: Demand, storm: StormDemand | null): SizingFreeboard | null {
  const { basin } = site;
  const { overflowLevel_m: overflow_m } = basin;
  const inflows: readonly (readonly [Case["when"], FlowEstimate | null])[] = [
    ["peak", demand.peak],
    ["design-storm", storm?.inflow ?? null],
    ["mean", demand.mean],
    ["dry", demand.dry],
  ];
  const seen = inflows.flatMap(([when, inflow]) => (inflow !== null && inflow.flow_m3s > 0 ? [{ when, inflow }] : []));
  if (overflow_m === null || seen.length === 0) return null;
  return {
    overflow_mm: overflow_m * 1000,
    cases: seen.map(({ when, inflow }) => {
      const range = when === "design-storm" ? (storm?.answer?.inflow ?? null) : null;
      const at = (level_m: number | null) => from(site, level_m, overflow_m, inflow, range);
      return {
        when,
        inflow: range === null ? sizingFlow(inflow) : { lpm: range.lpm, u95_lpm: null },
        from_start: at(basin.startLevel_m),
        from_stop: at(basin.stopLevel_m),
        from_high: at(basin.highLevel_m),
      };
    }),
    steps: stepsOf(site, overflow_m, seen[0]?.inflow ?? null),
  };
}

/** @param range of the flow, where it is lopsided */
function from(
  site: Site,
  level_m: number | null,
  overflow_m: number,
  inflow: FlowEstimate,
  range: SizingFlowRange | null,
): FromLevel {
  if (level_m === null || !(overflow_m > level_m)) return null;
  const { volume_m3, u_m3 } = room(site, level_m, overflow_m);
  const steady = timeToFill(volume_m3, Number.isNaN(u_m3) ? 0 : u_m3, inflow);
  if (steady === null) return null;
  const time = range === null ? steady : overRange(volume_m3, steady, range);
  return { level_mm: level_m * 1000, volume: { l: volume_m3 * 1000, u95_l: known(half(u_m3) * 1000) }, time };
}

function overRange(volume_m3: number, { s }: SizingTime, { low_lpm, high_lpm }: SizingFlowRange): SizingTime {
  return { s, low_s: volume_m3 / m3s(high_lpm), high_s: low_lpm > 0 ? volume_m3 / m3s(low_lpm) : null };
}

/** As stated of shape and float levels; NaN where nothing is stated. */
function room({ basin, measurement }: Site, level_m: number, overflow_m: number) {
  const { volume_m3, area_m2 } = basinGeometry(basin.geometry);
  const volume = volume_m3(overflow_m) - volume_m3(level_m);
  if (measurement == null) return { volume_m3: volume, u_m3: Number.NaN };
  const { uGeometry, uFloatLevels_m } = measurement;
  return { volume_m3: volume, u_m3: Math.hypot((uGeometry ?? 0) * volume, (uFloatLevels_m ?? 0) * area_m2(level_m)) };
}

function stepsOf(site: Site, overflow_m: number, inflow: FlowEstimate | null): HandStep[] {
  const { startLevel_m: start_m, geometry } = site.basin;
  if (start_m === null || inflow === null || !(overflow_m > start_m)) return [];
  const say = words(site.displayUnits);
  const { volume_m3 } = room(site, start_m, overflow_m);
  return [
    {
      what: "room from the start level to the floor",
      sum: overHeight(geometry, overflow_m, start_m, say),
      result: say.volume(volume_m3),
      source: "the basin alone; what drain pipes and gravel hold comes on top and is not counted",
    },
    {
      what: "time until water reaches the floor",
      sum: `${say.volume(volume_m3)} ÷ ${say.flow(inflow.flow_m3s)}`,
      result: say.duration(volume_m3 / inflow.flow_m3s),
      source: "at the measured peak, held steady",
    },
  ];
}
