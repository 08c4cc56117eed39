// The floats in the sizing answer: does the volume between them keep the starts to those allowed and the runs long enough,
// and where should they be set in this basin? The sums of one cycle are cycling.ts's.

import type { InflowStretch } from "../analyzer.ts";
import type { FlowEstimate } from "../cycles/cycle.ts";
import { type BasinGeometry, basinGeometry } from "../geometry/basin.ts";
import type { BasinSite, Site } from "../site.ts";
import { toSi } from "../units/unit.ts";
import { figures, type Words, words } from "../units/words.ts";
import type { SizingCycle, SizingFloats } from "./answer/basin.ts";
import type { HandStep } from "./answer/figures.ts";
import { cycling, largestPump_m3s, mostStartsPerHour, volumeForStarts_m3 } from "./cycling.ts";
import type { Demand } from "./demand.ts";
import { raiseStart } from "./raise-start.ts";
import type { InflowPerLevel } from "./request.ts";
import { half, known, lpm } from "./to-answer.ts";

/** Between the start level and high water, so that the float of the alarm stays dry in every cycle; no source. */
const underHigh_m = toSi(2, "in");

export interface FloatsRequest {
  readonly site: Site;
  readonly demand: Demand;
  /** The most that the pump moves in a cycle. */
  readonly pump_m3s: number;
  readonly inflow: readonly InflowStretch[];
  readonly inflowPerLevel: InflowPerLevel | null;
}

/** Volume between the floats as they are, measured or by the basin's shape; null where the levels are not known. */
export function activeVolume(site: Site): { volume_m3: number; u_m3: number; from: "measured" | "geometry" } | null {
  const { basin, measurement } = site;
  if (basin.activeVolume != null) {
    return {
      volume_m3: basin.activeVolume.volume_m3,
      u_m3: basin.activeVolume.uVolume_m3 ?? Number.NaN,
      from: "measured",
    };
  }
  if (basin.startLevel_m === null || basin.stopLevel_m === null) return null;
  const { volume_m3, area_m2 } = basinGeometry(basin.geometry);
  const volume = volume_m3(basin.startLevel_m) - volume_m3(basin.stopLevel_m);
  if (measurement == null) return { volume_m3: volume, u_m3: Number.NaN, from: "geometry" };
  const uFloats_m3 =
    (measurement.uFloatLevels_m ?? 0) * Math.hypot(area_m2(basin.startLevel_m), area_m2(basin.stopLevel_m));
  return { volume_m3: volume, u_m3: Math.hypot((measurement.uGeometry ?? 0) * volume, uFloats_m3), from: "geometry" };
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

interface Needed {
  readonly volume_m3: number;
  readonly forStarts_m3: number | null;
  readonly forRun_m3: number | null;
}

function neededVolume(pump_m3s: number, allowed: number | null, minRun_s: number | null): Needed | null {
  if (allowed === null && minRun_s === null) return null;
  const forStarts_m3 = allowed === null ? null : volumeForStarts_m3(pump_m3s, allowed);
  const forRun_m3 = minRun_s === null ? null : pump_m3s * minRun_s;
  return { forStarts_m3, forRun_m3, volume_m3: Math.max(forStarts_m3 ?? 0, forRun_m3 ?? 0) };
}

/** The highest that the start level may be, and what it would meet there; null: nothing says. */
export function highestStart(basin: BasinSite): { readonly level_m: number; readonly why: string } | null {
  const limits = [
    { level_m: basin.inletLevel_m ?? null, why: "the inlet" },
    { level_m: basin.highLevel_m === null ? null : basin.highLevel_m - underHigh_m, why: "the high-water level" },
    { level_m: basin.overflowLevel_m === null ? null : basin.overflowLevel_m - underHigh_m, why: "the floor" },
    { level_m: basin.depth_m === null ? null : basin.depth_m - underHigh_m, why: "the rim" },
  ].flatMap(({ level_m, why }) => (level_m === null ? [] : [{ level_m, why }]));
  return limits.toSorted((a, b) => a.level_m - b.level_m)[0] ?? null;
}

/** The stop level stays, for what a pump needs to stand in is not known here; the start level rises as far as it must. */
function setLevels(basin: BasinSite, volume_m3: number, pump_m3s: number): SizingFloats["set"] {
  const { stopLevel_m, startLevel_m, highLevel_m } = basin;
  if (stopLevel_m === null) return null;
  const geometry = basinGeometry(basin.geometry);
  const start_m = Math.max(startForVolume(geometry, stopLevel_m, volume_m3), startLevel_m ?? 0);
  const highest = highestStart(basin);
  if (highest !== null && start_m > highest.level_m + 1e-9) return null;
  const active_m3 = geometry.volume_m3(start_m) - geometry.volume_m3(stopLevel_m);
  return {
    stop_mm: stopLevel_m * 1000,
    start_mm: start_m * 1000,
    high_mm: highLevel_m === null ? null : highLevel_m * 1000,
    active_l: active_m3 * 1000,
    starts_per_hour: mostStartsPerHour(active_m3, pump_m3s),
    run_s: active_m3 / pump_m3s,
  };
}

function startForVolume(geometry: BasinGeometry, stop_m: number, volume_m3: number): number {
  return geometry.level_m(geometry.volume_m3(stop_m) + volume_m3);
}

function messageOf(
  request: FloatsRequest,
  needed_m3: number | null,
  enough: boolean,
  set: SizingFloats["set"],
  say: Words,
): string {
  const { basin } = request.site;
  if (needed_m3 === null) return "How often the pump may start, and how short it may run, is not given.";
  if (enough) return "The floats as they are keep starts and runs within what the pump is made for.";
  if (basin.stopLevel_m === null) return "The stop level is not given, so that no start level can be named.";
  if (set !== null) {
    const start_m = set.start_mm / 1000;
    const now = basin.startLevel_m === null ? "" : ` in place of ${say.level(basin.startLevel_m)}`;
    return `Set the start level to ${say.level(start_m)}${now}, with the stop level at ${say.level(basin.stopLevel_m)}: the ${say.volume(set.active_l / 1000)} between them keep the starts to ${figures(set.starts_per_hour)} an hour at the worst inflow.`;
  }
  const geometry = basinGeometry(basin.geometry);
  const start_m = startForVolume(geometry, basin.stopLevel_m, needed_m3);
  const highest = highestStart(basin);
  const most_m3 =
    highest === null ? 0 : Math.max(0, geometry.volume_m3(highest.level_m) - geometry.volume_m3(basin.stopLevel_m));
  const needs = `No setting does it in this basin: ${say.volume(needed_m3)} are needed, which would bring the start level to ${say.level(start_m)}, and ${highest?.why ?? "the basin"} allows ${say.level(highest?.level_m ?? 0)} at the most. What fits below that is ${say.volume(most_m3)}.`;
  return `${needs} ${waysOut(request, needed_m3, most_m3, say)}`;
}

/** What would do where no setting of the floats does. */
function waysOut({ site, pump_m3s, demand }: FloatsRequest, needed_m3: number, most_m3: number, say: Words): string {
  const allowed = site.pump?.maxStartsPerHour ?? null;
  const required_m3s = demand.requiredFlow?.flow_m3s ?? null;
  const ways = ["a wider basin"];
  if (allowed !== null && required_m3s !== null && most_m3 > 0) {
    const most_m3s = largestPump_m3s(most_m3, allowed);
    if (most_m3s >= required_m3s) {
      ways.push(`a pump that moves no more than ${say.flow(most_m3s)}, with ${say.flow(required_m3s)} required`);
    }
  }
  if (needed_m3 / 2 <= most_m3) ways.push("two pumps that take turns, which need half of it");
  const would = `It would take ${ways.join(", or ")}.`;
  if (!(most_m3 > 0)) return would;
  const worst = figures(mostStartsPerHour(most_m3, pump_m3s));
  const required =
    required_m3s === null || required_m3s >= pump_m3s
      ? ""
      : `, and to ${figures(cycling(most_m3, pump_m3s, required_m3s).startsPerHour)} at the required flow`;
  return `${would} With the start level as high as it may be, it comes to ${worst} starts an hour at the worst inflow${required}.`;
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

function stepsOf(
  { site, pump_m3s }: FloatsRequest,
  active_m3: number | null,
  needed: Needed | null,
  say: Words,
): HandStep[] {
  const { basin, pump } = site;
  const steps: HandStep[] = [];
  if (active_m3 !== null && basin.activeVolume == null && basin.startLevel_m !== null && basin.stopLevel_m !== null) {
    const sum = `${say.level(basin.startLevel_m)} − ${say.level(basin.stopLevel_m)}, ${say.perHeight(basinGeometry(basin.geometry).area_m2(basin.stopLevel_m))}`;
    steps.push({ what: "volume between the floats", sum, result: say.volume(active_m3), source: null });
  }
  const allowed = pump?.maxStartsPerHour ?? null;
  if (needed?.forStarts_m3 != null && allowed !== null) {
    steps.push({
      what: `volume for no more than ${figures(allowed)} starts an hour`,
      sum: `V = T·Q/4 = ${figures(60 / allowed)} min × ${say.flow(pump_m3s)} ÷ 4`,
      result: say.volume(needed.forStarts_m3),
      source: "MIL-HDBK-1005/9A, 2.5.3.6; half of it with two pumps that take turns: UFC 3-240-04A, chapter 7",
    });
  }
  if (needed?.forRun_m3 != null) {
    steps.push({
      what: `volume for runs of ${figures(pump?.minRun_s ?? 0)} s and more`,
      sum: `${figures(pump?.minRun_s ?? 0)} s × ${say.flow(pump_m3s)}, with nothing coming in`,
      result: say.volume(needed.forRun_m3),
      source: null,
    });
  }
  if (active_m3 !== null) {
    steps.push({
      what: "most starts in an hour with the floats as they are",
      sum: `60 min × ${say.flow(pump_m3s)} ÷ (4 × ${say.volume(active_m3)})`,
      result: figures(mostStartsPerHour(active_m3, pump_m3s)),
      source: "at an inflow of half of what the pump moves",
    });
  }
  return steps;
}
