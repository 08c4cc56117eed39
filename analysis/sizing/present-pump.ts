// The pump that is there: where it works on its discharge, what it moves, and whether that is enough.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { dischargeHead } from "../hydraulics/discharge-head.ts";
import { dutyPoint, meetDischarge } from "../hydraulics/duty-point.ts";
import { headWorksheet } from "../hydraulics/head-worksheet.ts";
import { fitToMeasured } from "../hydraulics/learned-curve.ts";
import { headTolerance } from "../hydraulics/lost-head.ts";
import { type PumpCurve, pumpCurve } from "../hydraulics/pump-curve.ts";
import { type EnergyUse, energyUse, type InputPower, inputPower, kilowattHour_j } from "../hydraulics/pump-power.ts";
import { whyNoDutyPoint } from "../hydraulics/why-no-duty-point.ts";
import type { SizingVerdict } from "../report/report.ts";
import type { DischargeSite, Site } from "../site.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import { figures, type Words, words } from "../units/words.ts";
import type { HandStep, SizingRatio } from "./answer/figures.ts";
import type { SizingDuty, SizingPump } from "./answer/lift.ts";
import { type Demand, observed_s } from "./demand.ts";
import { lowestLevel_m } from "./head.ts";
import type { LoggedRecord } from "./request.ts";
import { half, known, lpm, m3s, sizingFlow } from "./to-answer.ts";
import { verdictOf } from "./verdict.ts";

/** So much more lift, to see how much flow a head is worth. */
const step_m = 0.02;

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
  const verdict = everRan ? verdictOn(moves, demand) : "not-enough-data";
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
      message: messageOf(verdict, moves, demand, site) + (seenEnough || verdict === "not-enough-data" ? "" : notSeen),
      margin: over(moves, demand.peak),
      over_required: over(moves, demand.requiredFlow),
      input_power_w: power?.power_w ?? null,
      energy_kwh_per_year: use && use.perYear_j / kilowattHour_j,
      steps: [
        ...(atStop === null ? [] : meetingStep(site, atStop, say)),
        ...flowSteps(moves, measured !== null, demand, say),
        ...(power && use && logged ? [energyStep(power, use, logged)] : []),
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

export function dutyAt(curve: PumpCurve, discharge: DischargeSite, level_m: number): SizingDuty | null {
  const duty = dutyPoint(curve, discharge, level_m);
  if (duty === null) return null;
  const { velocity_ms } = dischargeHead(discharge, duty.flow_m3s, level_m);
  return { level_mm: level_m * 1000, lpm: lpm(duty.flow_m3s), head_m: duty.head_m, velocity_ms };
}

/**
 * As the record shows it: of two pumps, with one failed. Where only the summary is at hand, as its margin has it, unless
 * that is the duty point's; its interval is that of the pump's learned line, NaN without one.
 */
function measuredRate({ summary, pumpRate = null }: LoggedRecord): FlowEstimate | null {
  const { sizing, inflow, pump } = summary;
  const firm_lpm = sizing.firm_capacity_lpm ?? null;
  if (pumpRate !== null) return firm_lpm === null ? pumpRate : inProportion(pumpRate, m3s(firm_lpm));
  const peak_lpm = inflow.peak["600"]?.lpm ?? null;
  const moved_lpm = firm_lpm ?? (sizing.margin === null || peak_lpm === null ? null : sizing.margin * peak_lpm);
  const line = pump?.curve ?? [];
  const middle = line[line.length >> 1] ?? null;
  const duty_lpm = sizing.duty_point?.lpm ?? null;
  const measured_lpm = moved_lpm !== null && isNear(moved_lpm, duty_lpm) ? null : moved_lpm;
  if (measured_lpm === null && middle === null) return null;
  const known = middle ?? { lpm: 1, u95_lpm: Number.NaN };
  return {
    flow_m3s: m3s(measured_lpm ?? known.lpm),
    uFlow_m3s: (m3s(measured_lpm ?? known.lpm) * (known.u95_lpm / known.lpm)) / normalQuantile(0.975),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  };
}

/** Six digits are what a report gives. */
function isNear(moved_lpm: number, duty_lpm: number | null): boolean {
  return duty_lpm !== null && Math.abs(moved_lpm / duty_lpm - 1) < 1e-4;
}

function inProportion(rate: FlowEstimate, flow_m3s: number): FlowEstimate {
  return { ...rate, flow_m3s, uFlow_m3s: (rate.uFlow_m3s * flow_m3s) / rate.flow_m3s };
}

/** What friction as published and pumps as tested leave open of a head, as a flow. */
function curveEstimate(
  curve: PumpCurve,
  discharge: DischargeSite,
  level_m: number,
  { lpm: duty_lpm, head_m }: SizingDuty,
): FlowEstimate {
  const flow_m3s = m3s(duty_lpm);
  const higher = dutyAt(curve, { ...discharge, highPoint_m: discharge.highPoint_m + step_m }, level_m);
  const { uFrictionHead_m } = headWorksheet(discharge, flow_m3s, level_m);
  const uHead_m = Math.hypot(uFrictionHead_m, (headTolerance / Math.sqrt(3)) * head_m);
  const perHead = higher === null ? Number.NaN : (flow_m3s - m3s(higher.lpm)) / step_m;
  return { flow_m3s, uFlow_m3s: uHead_m * perHead, degreesOfFreedom: Number.POSITIVE_INFINITY };
}

function verdictOn(moves: FlowEstimate | null, { requiredFlow, highestRequired_m3s }: Demand): SizingVerdict {
  if (moves === null || requiredFlow === null || !(requiredFlow.flow_m3s > 0)) return "not-enough-data";
  return verdictOf(requiredFlow.flow_m3s, highestRequired_m3s ?? requiredFlow.flow_m3s, moves.flow_m3s);
}

const notSeen = " Not enough has been seen yet to be sure of it.";

function messageOf(verdict: SizingVerdict, moves: FlowEstimate | null, { requiredFlow }: Demand, site: Site): string {
  const say = words(site.displayUnits);
  if (moves === null)
    return "What the pump moves is not known: neither measured, nor given by its curve and discharge.";
  const who = site.pumps === undefined ? "It moves" : "With one of the two failed, the other moves";
  const does = `${who} ${say.flow(moves.flow_m3s)}`;
  if (requiredFlow === null || verdict === "not-enough-data") return `${does}; how much comes in is not known.`;
  const asked = `${say.flow(requiredFlow.flow_m3s)} is required`;
  if (verdict === "undersized") return `${does}, and ${asked}: too small.`;
  if (verdict === "marginal") return `${does}, and ${asked}: just enough, with hardly anything to spare.`;
  return `${does}, and ${asked}: enough.`;
}

function over(moves: FlowEstimate | null, flow: FlowEstimate | null): SizingRatio | null {
  if (moves === null || flow === null || !(flow.flow_m3s > 0)) return null;
  const value = moves.flow_m3s / flow.flow_m3s;
  const u = value * Math.hypot(moves.uFlow_m3s / moves.flow_m3s, flow.uFlow_m3s / flow.flow_m3s);
  return { value, u95: known(half(u)) };
}

/** That they meet there: what the discharge asks for at that flow is what the curve gives. */
function meetingStep({ discharge }: Site, duty: SizingDuty, say: Words): HandStep[] {
  if (discharge === null) return [];
  const { staticHead_m, frictionHead_m } = dischargeHead(discharge, m3s(duty.lpm), duty.level_mm / 1000);
  return [
    {
      what: `head that the discharge asks for at ${say.flow(m3s(duty.lpm))}`,
      sum: `lift ${say.head(staticHead_m)} + friction ${say.head(frictionHead_m)}`,
      result: `${say.head(duty.head_m)}, which is what the pump's curve gives at that flow`,
      source: "water at the stop level",
    },
  ];
}

function flowSteps(
  moves: FlowEstimate | null,
  measured: boolean,
  { peak, requiredFlow }: Demand,
  say: Words,
): HandStep[] {
  if (moves === null) return [];
  const steps: HandStep[] = [
    {
      what: "what the pump moves",
      sum: measured ? "measured, mean of its runs" : "where its curve meets the head that the discharge asks for",
      result: say.flow(moves.flow_m3s),
      source: measured
        ? null
        : "its range: pumps are up to 7 % of the head off their curve (ISO 9906:2012, grade 3B), and fittings off their table",
    },
  ];
  const ratio = (what: string, flow: FlowEstimate | null) => {
    if (flow === null || !(flow.flow_m3s > 0)) return;
    const result = `${figures(moves.flow_m3s / flow.flow_m3s)} times`;
    steps.push({ what, sum: `${say.flow(moves.flow_m3s)} ÷ ${say.flow(flow.flow_m3s)}`, result, source: null });
  };
  ratio("over the measured peak", peak);
  ratio("over the required flow", requiredFlow);
  return steps;
}

function energyStep(power: InputPower, use: EnergyUse, { summary }: LoggedRecord): HandStep {
  const [ran_h, seen_h] = [summary.totals.run_s / 3600, observed_s(summary) / 3600];
  return {
    what: "energy in a year",
    sum: `${figures(power.power_w)} W × ${figures(ran_h)} h of running in ${figures(seen_h)} h watched × 8766 h`,
    result: `${figures(use.perYear_j / kilowattHour_j)} kWh`,
    source: `power ${power.words}; ${use.words}`,
  };
}
