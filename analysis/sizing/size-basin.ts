// How big must the pump be, and all that goes with it: from what was measured and what is known of the site to one answer.
// Pure: the command line, the page and the report all ask here.

import type { Site } from "../site.ts";
import { figures, type Words, words } from "../units/words.ts";
import { activeVolume } from "./active-volume.ts";
import { askFor } from "./ask-for.ts";
import { backupAnswer } from "./backup.ts";
import { batteryCautions, handTestCautions, sewageCaution, sizingCautions } from "./cautions.ts";
import { comparePipes } from "./compare-pipes.ts";
import { largestPump_m3s } from "./cycling.ts";
import { type Demand, demandOf } from "./demand.ts";
import { featuresWorthHaving } from "./features.ts";
import { floatsAnswer } from "./float-levels.ts";
import { freeboardAnswer } from "./freeboard.ts";
import { headAnswer } from "./head.ts";
import { whatIsMissing } from "./missing.ts";
import { cannotWork, type PresentPump, presentPump } from "./present-pump.ts";
import type { LoggedRecord, SizingRequest } from "./request.ts";
import { highestStart } from "./set-levels.ts";
import { type SizingAnswer, sizingSchema } from "./sizing-answer.ts";
import { type StormDemand, stormDemand } from "./storm-demand.ts";

/**
 * @param asked the site; a logged record, a hand test, both or neither: what cannot be known is null and is asked for
 * @throws {RangeError} when a basin, a curve or a pipe is not one that geometry/ and hydraulics/ take
 */
export function sizeBasin(asked: SizingRequest): SizingAnswer {
  const request = { ...asked, site: atDutyLevels(asked.site) };
  const { site, logged } = request;
  const storm = request.storm === undefined ? stormDemand(site, logged) : request.storm;
  const demand = demandOf(request, storm);
  const present = presentPump(site, demand, logged, storm?.seen?.enough ?? true);
  const active = activeVolume(site);
  const allowed = site.pump?.maxStartsPerHour ?? null;
  const atMost_m3s = active && allowed !== null ? largestPump_m3s(active.volume_m3, allowed) : null;
  const freeboard = freeboardAnswer(site, demand, storm);
  const pipes = comparePipes(site, demand.requiredFlow, present);
  const pump_m3s = present?.mostMoved_m3s ?? null;
  return {
    schema: sizingSchema,
    site: { name: site.name, display_units: site.displayUnits, timezone: site.timezone },
    measured: demand.measured,
    storms: storm?.storms ?? null,
    seen: storm?.seen ?? null,
    required: demand.required,
    head: headAnswer(site, demand.requiredFlow),
    pump: present?.answer ?? null,
    ask_for: askFor(site, demand, atMost_m3s),
    pipes,
    floats:
      pump_m3s === null
        ? null
        : floatsAnswer({
            site,
            demand,
            pump_m3s,
            inflow: logged?.inflow ?? [],
            inflowPerLevel: logged?.inflowPerLevel ?? null,
          }),
    freeboard,
    backup: backupAnswer(site, demand, present, logged),
    advice: featuresWorthHaving(site, demand, present, freeboard, pipes),
    missing: whatIsMissing(request, storm),
    impossible: whatCannotBe(site, demand, present),
    assumptions: assumptionsOf(request, demand, storm, present),
    cautions: [
      ...sizingCautions,
      // Also where nothing was measured: then the test is what is asked for.
      ...(request.hand === null && logged !== null ? [] : handTestCautions),
      ...(site.backup == null ? [] : batteryCautions),
      sewageCaution,
    ],
  };
}

/** Of two pumps, the one on duty may hang elsewhere than the basin's levels say. */
function atDutyLevels(site: Site): Site {
  const { startLevel_m = null, stopLevel_m = null } = site.pump ?? {};
  if (startLevel_m === null && stopLevel_m === null) return site;
  const { basin } = site;
  return {
    ...site,
    basin: {
      ...basin,
      startLevel_m: startLevel_m ?? basin.startLevel_m,
      stopLevel_m: stopLevel_m ?? basin.stopLevel_m,
    },
  };
}

function whatCannotBe(site: Site, { peak }: Demand, present: PresentPump | null): string[] {
  const { basin } = site;
  const say = words(site.displayUnits);
  const highest = highestStart(basin);
  const moves = present?.moves ?? null;
  return [
    cannotWork(site),
    moves !== null && peak !== null && peak.flow_m3s > moves.flow_m3s
      ? `At its peak ${say.flow(peak.flow_m3s)} came in, and the pump moves ${say.flow(moves.flow_m3s)}: while that lasts the water rises although the pump runs.`
      : null,
    basin.startLevel_m !== null && basin.inletLevel_m != null && basin.startLevel_m > basin.inletLevel_m
      ? `The pump starts at ${say.level(basin.startLevel_m)}, and the inlet lies at ${say.level(basin.inletLevel_m)}: water stands in the drain pipe before it starts.`
      : null,
    highest !== null && basin.stopLevel_m !== null && basin.stopLevel_m >= highest.level_m
      ? `The stop level, ${say.level(basin.stopLevel_m)}, leaves no room for a start level: ${highest.why} allows ${say.level(highest.level_m)} at the most.`
      : null,
  ].filter((line) => line !== null);
}

function assumptionsOf(
  { site, hand, logged }: SizingRequest,
  demand: Demand,
  storm: StormDemand | null,
  present: PresentPump | null,
): string[] {
  const say = words(site.displayUnits);
  const { basin, measurement, discharge } = site;
  const lines = [
    demand.required?.governs === "allowance"
      ? `An allowance of ${site.design.inflowFactor} over the measured peak stands for worse storms than were seen (common practice, no source).`
      : null,
    hand !== null
      ? "The hand test shows the inflow of that hour. Make it in the wettest weather that there is, or take it for no peak."
      : null,
    logged !== null && storm?.noDesign != null && site.design.storm != null
      ? `What the storm to hold would bring is not known: ${storm.noDesign}.`
      : null,
    hand?.rises.some(({ from_m }) => from_m === null) && basin.geometry.shape === "table"
      ? `The rise was watched from ${basin.stopLevel_m === null ? "the inside bottom" : "the stop level"} on: in this basin it matters where it began.`
      : null,
    discharge !== null && basin.stopLevel_m === null
      ? "The stop level is not given: the lift is taken from the inside bottom of the basin, the most that it can be."
      : null,
    discharge !== null
      ? `Water of ${say.temperature(discharge.waterTemperature_c ?? 10)}, pipes as new, valves fully open.`
      : null,
    present?.speed != null
      ? `Other sizes of pipe: with the published curve brought through what was measured, at ${figures(100 * present.speed)} % of the pump's speed by the affinity laws.`
      : null,
    tripsLine(site, logged, say),
    measurement?.uGeometry == null
      ? "Nothing is stated of how well the basin's size is known (measurement: in the site file): it is left out of the ranges, not taken as exact."
      : null,
    basin.overflowLevel_m !== null
      ? "Time to the floor: inflow held steady, the basin alone. Drain pipes and gravel hold more, and a rising level holds inflow back: both make it longer."
      : null,
    demand.measured?.inflow_per_level == null && logged !== null
      ? "How the inflow goes with the level in the basin is not known: it is taken as the same at every level."
      : null,
  ];
  return lines.filter((line) => line != null);
}

/** So far apart, floats hang otherwise than the site file says; common practice, no source. */
const apart_m = 0.012;

function tripsLine({ basin }: Site, logged: LoggedRecord | null, say: Words): string | null {
  const trips = logged?.trips ?? null;
  const { startLevel_m, stopLevel_m } = basin;
  if (trips === null || startLevel_m === null || stopLevel_m === null) return null;
  const off_m = Math.max(Math.abs(trips.start_m - startLevel_m), Math.abs(trips.stop_m - stopLevel_m));
  if (off_m < apart_m) return null;
  return `As logged, the pump starts at ${say.level(trips.start_m)} and stops at ${say.level(trips.stop_m)}; the site file says ${say.level(startLevel_m)} and ${say.level(stopLevel_m)}, and the sums here go by it. Correct it if the floats hang so.`;
}
