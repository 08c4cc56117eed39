// How big must the pump be, and all that goes with it: from what was measured and what is known of the site to one answer.
// Pure: the command line, the page and the report all ask here.

import type { Site } from "../site.ts";
import { activeVolume } from "./active-volume.ts";
import { askFor } from "./ask-for.ts";
import { assumptionsOf } from "./assumptions.ts";
import { backupAnswer } from "./battery/backup.ts";
import { batteryCautions, handTestCautions, sewageCaution, sizingCautions } from "./cautions.ts";
import { comparePipes } from "./compare-pipes.ts";
import { largestPump_m3s } from "./cycling.ts";
import { demandOf } from "./demand.ts";
import { featuresWorthHaving } from "./features.ts";
import { floatsAnswer } from "./float-levels.ts";
import { freeboardAnswer } from "./freeboard.ts";
import { headAnswer } from "./head.ts";
import { whatCannotBe } from "./impossible.ts";
import { whatIsMissing } from "./missing.ts";
import { presentPump } from "./present-pump.ts";
import type { SizingRequest } from "./request.ts";
import { type SizingAnswer, sizingSchema } from "./sizing-answer.ts";
import { stormDemand } from "./storm-demand.ts";

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
    impossible: whatCannotBe(site),
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
