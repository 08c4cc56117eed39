// The pump that is there: where it works on its discharge, what it moves, and whether that is enough.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { staticHead } from "../hydraulics/discharge-head.ts";
import { meetDischarge } from "../hydraulics/duty-point.ts";
import { fitToMeasured } from "../hydraulics/fit-to-measured.ts";
import { type PumpCurve, pumpCurve } from "../hydraulics/pump-curve.ts";
import { energyUse, inputPower, kilowattHour_j } from "../hydraulics/pump-power.ts";
import { whyNoDutyPoint } from "../hydraulics/why-no-duty-point.ts";
import type { SizingVerdict } from "../report/report.ts";
import type { Site } from "../site.ts";
import { words } from "../units/words.ts";
import { anotherDay } from "./another-day.ts";
import type { SizingRatio } from "./answer/figures.ts";
import type { SizingPump } from "./answer/lift.ts";
import { type Demand, observed_s } from "./demand.ts";
import { lowestLevel_m } from "./head.ts";
import { energySteps, flowSteps, meetingStep, messageOf } from "./pump-words.ts";
import type { LoggedRecord } from "./request.ts";
import { halfShare, known, m3s, shareOf, sizingFlow } from "./to-answer.ts";
import { verdictOf } from "./verdict.ts";
import { curveEstimate, dutyAt, measuredRate } from "./what-pump-moves.ts";

export interface PresentPump {
  readonly answer: SizingPump;
  /** SI, what it moves with the water at the stop level; null: not known. */
  readonly moves: FlowEstimate | null;
  /** With the water at the start level, by its curve: the most it moves in a cycle; null: not known. */
  readonly mostMoved_m3s: number | null;
  readonly inputPower_w: number | null;
  /** For other pipes: as published, or brought through what was measured; null without a published one. */
  readonly curve: PumpCurve | null;
  /** Share of its speed at which the published curve explains what was measured; null: not brought through anything. */
  readonly speed: number | null;
}

/**
 * @param seenEnough whether the record shows enough of what the place can bring
 * @returns null where nothing is known of a pump
 */
export function presentPump(
  site: Site,
  demand: Demand,
  logged: LoggedRecord | null,
  seenEnough = true,
): PresentPump | null {
  const { pump, discharge, basin } = site;
  const measured = logged === null ? null : measuredRate(logged);
  if (pump === null && measured === null) return null;
  const published = pump?.curve == null ? null : pumpCurve(pump.curve);
  const at = (level_m: number | null) =>
    level_m === null || published === null || discharge === null ? null : dutyAt(published, discharge, level_m);
  const atStart = at(basin.startLevel_m);
  const atStop = at(lowestLevel_m(site));
  const byCurve =
    atStop && published && discharge ? curveEstimate(published, discharge, lowestLevel_m(site), atStop) : null;
  const fitted =
    measured && published && discharge ? fitToMeasured(published, discharge, usualLevel_m(site), measured) : null;
  const moves = measured ?? byCurve;
  const everRan = logged === null || demand.measured?.hand != null || logged.summary.totals.starts > 0;
  const noLift = measured === null ? whyNoLift(site, demand) : null;
  const held = noLift !== null ? "undersized" : everRan ? verdictOn(moves, demand) : "not-enough-data";
  // What is too small already is so whatever comes; enough is only what has been seen to be.
  const verdict = (seenEnough && !demand.peakIsOpen) || held === "undersized" ? held : "not-enough-data";
  const power = inputPower(pump, atStop && { flow_m3s: m3s(atStop.lpm), head_m: atStop.head_m }, {
    measured_w: logged?.runningPower_w ?? null,
  });
  const use = power && logged && energyUse(power, { ...logged.summary.totals, span_s: observed_s(logged.summary) });
  const say = words(site.displayUnits);
  return {
    moves,
    mostMoved_m3s: measured?.flow_m3s ?? (atStart === null ? null : m3s(atStart.lpm)) ?? moves?.flow_m3s ?? null,
    inputPower_w: power?.power_w ?? null,
    curve: fitted?.curve ?? published,
    speed: fitted?.speed ?? null,
    answer: {
      name: pump?.name ?? null,
      duty: { at_start: atStart, at_stop: atStop },
      moves: moves && sizingFlow(moves),
      moves_by: measured !== null ? "measured" : byCurve !== null ? "curve" : null,
      verdict,
      message:
        noLift ??
        messageOf(held, moves, demand, site) + (verdict === held ? "" : demand.peakIsOpen ? moreCame : notSeen),
      margin: demand.peakIsOpen ? null : over(moves, demand.peak),
      over_required: demand.peakIsOpen ? null : over(moves, demand.requiredFlow),
      input_power_w: power?.power_w ?? null,
      energy_kwh_per_year: use && use.perYear_j / kilowattHour_j,
      energy_wh_per_cycle: use?.perCycle_j == null ? null : use.perCycle_j / wattHour_j,
      ...anotherDay(site, fitted?.curve ?? published, demand),
      steps: [
        ...(atStop === null ? [] : meetingStep(site, atStop, say)),
        ...flowSteps(moves, measured !== null, demand, say),
        ...(power && use && logged ? energySteps(power, use, logged) : []),
      ],
    },
  };
}

/** Why the pump's curve and the discharge do not meet, in words that name both figures; null where they do. */
export function cannotWork(site: Site): string | null {
  const { pump, discharge } = site;
  if (pump?.curve == null || discharge === null) return null;
  const curve = pumpCurve(pump.curve);
  const level_m = lowestLevel_m(site);
  const { reason } = meetDischarge(curve, discharge, level_m);
  if (reason === null) return null;
  const why = whyNoDutyPoint(reason, curve, discharge, level_m, site.displayUnits);
  return `This pump on this discharge, water at the stop level, has no duty point: ${why}.`;
}

/** In the middle of a run. */
function usualLevel_m(site: Site): number {
  const low_m = lowestLevel_m(site);
  return (low_m + (site.basin.startLevel_m ?? low_m)) / 2;
}

function verdictOn(moves: FlowEstimate | null, { requiredFlow, highestRequired_m3s }: Demand): SizingVerdict {
  if (moves === null || requiredFlow === null || !(requiredFlow.flow_m3s > 0)) return "not-enough-data";
  return verdictOf(requiredFlow.flow_m3s, highestRequired_m3s ?? requiredFlow.flow_m3s, moves.flow_m3s);
}

const wattHour_j = kilowattHour_j / 1000;

const moreCame = " More may have come in than could be measured, so whether that is enough is not known.";
const notSeen = " That holds for what has been seen, and not enough has been seen to say so for good.";

/** Its head at no flow is no more than the lift; null where it is, or is not known. */
function whyNoLift(site: Site, { requiredFlow }: Demand): string | null {
  const { pump, discharge } = site;
  if (pump?.curve == null || discharge === null) return null;
  const curve = pumpCurve(pump.curve);
  const level_m = lowestLevel_m(site);
  if (meetDischarge(curve, discharge, level_m).reason !== "head-too-low") return null;
  const say = words(site.displayUnits);
  const [shutOff, lift] = [curve.shutOffHead_m ?? 0, staticHead(discharge, level_m)].map(say.head);
  const asked = requiredFlow === null ? "" : `, and ${say.flow(requiredFlow.flow_m3s)} is required`;
  return `It moves nothing${asked}: it lifts no higher than ${shutOff}, and the lift is ${lift}.`;
}

function over(moves: FlowEstimate | null, flow: FlowEstimate | null): SizingRatio | null {
  if (moves === null || flow === null || !(flow.flow_m3s > 0)) return null;
  const value = moves.flow_m3s / flow.flow_m3s;
  if (!(moves.flow_m3s > 0)) return { value, u95: null };
  return { value, u95: known(value * halfShare([shareOf(moves), shareOf(flow)])) };
}
