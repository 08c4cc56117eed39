// The floats in words: where to set them, or what it would take, and the sums behind it.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { basinGeometry } from "../geometry/basin.ts";
import type { BasinShape } from "../site.ts";
import { figures, twoFigures, type Words } from "../units/words.ts";
import type { SizingFloats } from "./answer/basin.ts";
import type { HandStep } from "./answer/figures.ts";
import { cycling, largestPump_m3s, mostStartsPerHour, volumeForStarts_m3 } from "./cycling.ts";
import type { FloatsRequest } from "./float-levels.ts";
import { highestStart, type Needed, startForVolume } from "./set-levels.ts";

export function messageOf(
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
    return `Set the start level to ${say.level(start_m)}${now}, with the stop level at ${say.level(basin.stopLevel_m)}: the ${say.volume(set.active_l / 1000)} between them keep the starts to ${twoFigures(set.starts_per_hour)} an hour even at the inflow that makes most of them.`;
  }
  const geometry = basinGeometry(basin.geometry);
  const start_m = startForVolume(geometry, basin.stopLevel_m, needed_m3);
  const highest = highestStart(basin);
  const most_m3 =
    highest === null ? 0 : Math.max(0, geometry.volume_m3(highest.level_m) - geometry.volume_m3(basin.stopLevel_m));
  const needs = `For ${aimOf(request, needed_m3)}, whatever comes in, it takes ${say.volume(needed_m3)} between the floats, a start level of ${say.level(start_m)}; ${highest?.why ?? "the basin"} allows ${say.level(highest?.level_m ?? 0)} at the most, which leaves ${say.volume(most_m3)}.`;
  return [
    needs,
    ...atHighest(request, highest?.level_m ?? 0, most_m3, say),
    waysOut(request, needed_m3, most_m3, say),
  ].join(" ");
}

/** Which of the two asks for so much. */
function aimOf({ site, pump_m3s }: FloatsRequest, needed_m3: number): string {
  const { maxStartsPerHour: allowed = null, minRun_s = null } = site.pump ?? {};
  const byStarts = allowed !== null && volumeForStarts_m3(pump_m3s, allowed) >= needed_m3 * (1 - 1e-9);
  return byStarts ? `no more than ${figures(allowed)} starts an hour` : `runs of ${figures(minRun_s ?? 0)} s and more`;
}

/** What the best that fits comes to, at each inflow that is to be expected and at the one that makes most starts. */
function atHighest(
  { site, pump_m3s, demand }: FloatsRequest,
  highest_m: number,
  most_m3: number,
  say: Words,
): string[] {
  const allowed = site.pump?.maxStartsPerHour ?? null;
  if (!(most_m3 > 0) || allowed === null) return [];
  const at = (flow: FlowEstimate | null) =>
    flow === null || !(flow.flow_m3s > 0) || flow.flow_m3s >= pump_m3s
      ? null
      : cycling(most_m3, pump_m3s, flow.flow_m3s).startsPerHour;
  const [peak, required] = [at(demand.peak), at(demand.requiredFlow)];
  const parts = [
    peak === null ? null : `${twoFigures(peak)} times an hour at the measured peak`,
    required === null ? null : `${twoFigures(required)} at the required flow`,
    `${twoFigures(mostStartsPerHour(most_m3, pump_m3s))} at half of what the pump moves, when it starts most often`,
  ].filter((part) => part !== null);
  const expected = Math.max(peak ?? 0, required ?? 0);
  const verdict =
    expected > 0 && expected <= allowed
      ? `${figures(allowed)} are allowed, which holds for all that is to be expected`
      : `${figures(allowed)} are allowed`;
  return [`With the start level at ${say.level(highest_m)} it starts ${parts.join(", ")}; ${verdict}.`];
}

/** What would keep to the starts whatever comes in, where no setting of the floats does. */
function waysOut({ site, demand }: FloatsRequest, needed_m3: number, most_m3: number, say: Words): string {
  const allowed = site.pump?.maxStartsPerHour ?? null;
  const required_m3s = demand.requiredFlow?.flow_m3s ?? null;
  const ways = ["a wider basin"];
  if (allowed !== null && required_m3s !== null && most_m3 > 0) {
    const most_m3s = largestPump_m3s(most_m3, allowed);
    if (most_m3s >= required_m3s) {
      ways.push(`a pump that moves no more than ${say.flow(most_m3s)}, with ${say.flow(required_m3s)} required`);
    }
  }
  if (needed_m3 / 2 <= most_m3) ways.push("two pumps that take turns, which need half the volume");
  return `To have that at any inflow would take ${ways.join(", or ")}.`;
}

export function stepsOf(
  { site, pump_m3s }: FloatsRequest,
  active_m3: number | null,
  needed: Needed | null,
  say: Words,
): HandStep[] {
  const { basin, pump } = site;
  const steps: HandStep[] = [];
  if (active_m3 !== null && basin.activeVolume == null && basin.startLevel_m !== null && basin.stopLevel_m !== null) {
    const sum = overHeight(basin.geometry, basin.startLevel_m, basin.stopLevel_m, say);
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

/** `(14 in − 6 in) × 1.068 gal per inch`; of a basin that widens, what an inch holds at the lower level, and no product. */
export function overHeight(basin: BasinShape, upper_m: number, lower_m: number, say: Words): string {
  const [height, per] = [
    `${say.level(upper_m)} − ${say.level(lower_m)}`,
    say.perHeight(basinGeometry(basin).area_m2(lower_m)),
  ];
  return basin.shape === "table" ? `${height}, by the basin's table` : `(${height}) × ${per}`;
}
