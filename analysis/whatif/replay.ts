// The recorded inflow run against an installation, from event to event: a float turns, the inflow changes, power goes or
// comes back. Between two events the level's course is known in closed form (layer-course.ts), so no step is too long.

import type { InflowStretch } from "../analyzer.ts";
import { basinGeometry } from "../geometry/basin.ts";
import { checkInstallation, type ReplayInstallation } from "./installation.ts";
import { meanRise_m, riseIn_m, timeToRise_s } from "./layer-course.ts";
import { levelGrid } from "./level-grid.ts";
import type { ReplayOutcome } from "./outcome.ts";
import { mergedCuts, type PowerCut } from "./power-cuts.ts";
import { pumpRoom } from "./pump-room.ts";

export interface ReplayOptions {
  readonly powerCuts?: readonly PowerCut[];
  /** Where the water stands at first; by default at the first pump's stop level. */
  readonly firstLevel_m?: number | null;
  /** Which floats are up at first, where the water stands between their levels; by default none. */
  readonly firstCalls?: readonly boolean[];
  /** Moments at which the level and the float of the pump on duty are known, in order of time: there it keeps step. */
  readonly anchors?: readonly Anchor[];
  /** All inflow is so many of its standard uncertainties more; 0 if not given. */
  readonly sigmas?: number;
  /** Told after each piece of the course, and at the beginning. Pumps are bits: 1 the first runs, 2 the second. */
  readonly onPoint?: (time_s: number, level_m: number, running: number) => void;
}

export interface Anchor {
  readonly time_s: number;
  readonly level_m: number;
  /** The float of the pump on duty is up; all others hang down. */
  readonly calls: boolean;
}

/**
 * Runs an inflow against an installation.
 *
 * Between events the volume obeys dV/dt = inflow + what runs back − pumped(level). Within a thin layer of the basin that
 * is linear in the level, so its course is an exponential, and the moment at which it crosses a float's level is found
 * exactly. Over a gap between stretches the water stands still (see join-inflow.ts).
 *
 * @param inflow in order of time, none overlapping another
 * @throws {RangeError} when the installation is one that nothing can be reckoned for
 */
export function replayInflow(
  inflow: readonly InflowStretch[],
  installation: ReplayInstallation,
  options: ReplayOptions = {},
): ReplayOutcome {
  checkInstallation(installation);
  const { returned, groundHead, highLevel_m, overflowLevel_m, pumps } = installation;
  const { onPoint, sigmas = 0 } = options;
  const origin_s = inflow[0]?.from_s ?? 0; // times are counted from it, so that no digit is lost to the calendar
  const grid = levelGrid(installation);
  const { level_m: levels_m, area_m2: areas_m2, turns } = grid;
  const top = levels_m.length - 1;
  const rim = overflowLevel_m === null ? -1 : top;
  const geometry = basinGeometry(installation.basin);
  const cuts = mergedCuts(options.powerCuts ?? []);
  const anchors = options.anchors ?? [];
  let anchor = 0;
  let anchored_m3 = 0;
  const room = pumpRoom(
    installation,
    cuts.map(({ from_s, to_s }) => ({ from_s: from_s - origin_s, to_s: to_s - origin_s })),
  );

  let time_s = 0;
  let level_m = Math.min(levels_m[top] as number, Math.max(0, options.firstLevel_m ?? pumps[0].stopLevel_m));
  const firstLevel_m = level_m;
  let layer = grid.layerOf(level_m);
  let flows_m3s = grid.flows_m3s(0);
  let nextEvent_s = Number.POSITIVE_INFINITY;
  let sinceSettled_s = 0;
  let drainEnd_s = Number.NEGATIVE_INFINITY;
  const drain_m3s = returned.volume_m3 / returned.duration_s;

  let highest_m = level_m;
  let highestAt_s = 0;
  let aboveHigh_s = 0;
  let overflow_m3 = 0;
  let overflow_s = 0;
  let overflowFrom_s: number | null = null;
  let inflow_m3 = 0;
  let returned_m3 = 0;
  let played_s = 0;

  function settle(): void {
    room.pass(sinceSettled_s);
    sinceSettled_s = 0;
    if (room.settle(time_s, level_m) && returned.volume_m3 > 0) drainEnd_s = time_s + returned.duration_s;
    if (room.running !== 0) drainEnd_s = time_s;
    flows_m3s = grid.flows_m3s(room.mode);
    nextEvent_s = room.nextEvent_s(time_s);
  }

  /** Up to `until_s`, or to the next event if that is earlier. */
  function advance(until_s: number, recorded_m3s: number): void {
    const back_m3s = time_s < drainEnd_s ? drain_m3s : 0;
    let end_s = Math.min(until_s, nextEvent_s);
    if (back_m3s > 0) end_s = Math.min(end_s, drainEnd_s);
    const share = groundHead === null ? 1 : shareAt(groundHead, level_m);
    const flow_m3s = pumpedAt_m3s(level_m);
    const net_m3s = recorded_m3s * share + back_m3s - flow_m3s;
    if (net_m3s > 0 && level_m >= (levels_m[layer + 1] as number) && layer < top - 1) layer += 1;
    else if (net_m3s < 0 && level_m <= (levels_m[layer] as number) && layer > 0) layer -= 1;
    const low_m = levels_m[layer] as number;
    const high_m = levels_m[layer + 1] as number;
    const area_m2 = areas_m2[layer] as number;
    const perLevel = ((flows_m3s[layer + 1] as number) - (flows_m3s[layer] as number)) / (high_m - low_m);
    const lessInflow =
      groundHead === null || low_m >= groundHead.nothing_m
        ? 0
        : recorded_m3s / (groundHead.nothing_m - groundHead.recorded_m);
    const rate_ms = net_m3s / area_m2;
    const damping_1s = (perLevel + lessInflow) / area_m2;

    const blocked = (net_m3s > 0 && level_m >= high_m) || (net_m3s < 0 && level_m <= low_m);
    let crosses = false;
    if (!blocked && rate_ms !== 0) {
      const edge_m = rate_ms > 0 ? high_m : low_m;
      const there_s = timeToRise_s(rate_ms, damping_1s, edge_m - level_m);
      if (time_s + there_s <= end_s) {
        end_s = time_s + there_s;
        crosses = true;
      }
      const dt_s = end_s - time_s;
      const held_m3s = lessInflow === 0 ? 0 : lessInflow * meanRise_m(rate_ms, damping_1s, dt_s);
      inflow_m3 += (recorded_m3s * share - held_m3s) * dt_s;
      const next_m = crosses ? edge_m : level_m + riseIn_m(rate_ms, damping_1s, dt_s);
      level_m = rate_ms > 0 ? Math.min(high_m, next_m) : Math.max(low_m, next_m);
    } else {
      const dt_s = end_s - time_s;
      if (net_m3s >= 0 || !blocked || recorded_m3s > 0) inflow_m3 += recorded_m3s * share * dt_s;
      if (blocked && net_m3s > 0 && layer + 1 === rim) {
        overflow_m3 += net_m3s * dt_s;
        overflow_s += dt_s;
        if (dt_s > 0) overflowFrom_s ??= time_s;
      }
    }
    const dt_s = end_s - time_s;
    returned_m3 += back_m3s * dt_s;
    played_s += dt_s;
    if (highLevel_m !== null && (low_m >= highLevel_m || (blocked && level_m >= highLevel_m))) aboveHigh_s += dt_s;
    sinceSettled_s += dt_s;
    time_s = end_s;
    if (level_m > highest_m) {
      highest_m = level_m;
      highestAt_s = time_s;
    }
    if (time_s >= nextEvent_s || (crosses && turns[rate_ms > 0 ? layer + 1 : layer])) settle();
    onPoint?.(origin_s + time_s, level_m, room.running);
  }

  function keepStep(): void {
    const { level_m: known_m, calls } = anchors[anchor] as Anchor;
    anchor += 1;
    anchored_m3 += geometry.volume_m3(known_m) - geometry.volume_m3(level_m);
    level_m = known_m;
    layer = grid.layerOf(level_m);
    room.rest();
    if (calls) room.call(0);
    settle();
    if (!calls && returned.volume_m3 > 0) drainEnd_s = time_s + returned.duration_s;
  }

  function pumpedAt_m3s(level: number): number {
    const low_m = levels_m[layer] as number;
    const low_m3s = flows_m3s[layer] as number;
    const part = (level - low_m) / ((levels_m[layer + 1] as number) - low_m);
    return low_m3s + part * ((flows_m3s[layer + 1] as number) - low_m3s);
  }

  options.firstCalls?.forEach((calls, role) => {
    if (calls) room.call(role);
  });
  settle();
  onPoint?.(origin_s + time_s, level_m, room.running);
  for (const stretch of inflow) {
    const from_s = stretch.from_s - origin_s;
    const { inflow_m3s: known_m3s, uInflow_m3s } = stretch;
    const inflow_m3s = sigmas === 0 ? known_m3s : Math.max(Math.min(0, known_m3s), known_m3s + sigmas * uInflow_m3s);
    if (from_s > time_s) {
      settle();
      time_s = from_s; // the water stands as it stood
      settle();
    }
    const to_s = stretch.to_s - origin_s;
    while (time_s < to_s) {
      const next_s = (anchors[anchor]?.time_s ?? Number.POSITIVE_INFINITY) - origin_s;
      advance(Math.min(to_s, Math.max(time_s, next_s)), inflow_m3s);
      if (time_s >= next_s) keepStep();
    }
  }

  settle();
  const stored_m3 = geometry.volume_m3(level_m) - geometry.volume_m3(firstLevel_m);
  const pumped_m3 = inflow_m3 + returned_m3 + anchored_m3 - overflow_m3 - stored_m3;
  return {
    from_s: origin_s,
    to_s: origin_s + time_s,
    played_s,
    highestLevel_m: highest_m,
    highestAt_s: origin_s + highestAt_s,
    lastLevel_m: level_m,
    aboveHigh_s: highLevel_m === null ? null : aboveHigh_s,
    overflow_m3,
    overflowFrom_s: overflowFrom_s === null ? null : origin_s + overflowFrom_s,
    overflow_s,
    inflow_m3,
    pumped_m3: Math.abs(pumped_m3) < 1e-12 ? 0 : pumped_m3,
    returned_m3,
    ...room.outcome(origin_s),
  };
}

function shareAt({ nothing_m, recorded_m }: NonNullable<ReplayInstallation["groundHead"]>, level_m: number): number {
  return Math.max(0, (nothing_m - level_m) / (nothing_m - recorded_m));
}
