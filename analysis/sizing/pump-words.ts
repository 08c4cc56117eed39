// The pump that is there in words: the verdict with both figures, and the sums behind it.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { dischargeHead } from "../hydraulics/discharge-head.ts";
import { type EnergyUse, type InputPower, kilowattHour_j } from "../hydraulics/pump-power.ts";
import type { SizingVerdict } from "../report/report.ts";
import type { Site } from "../site.ts";
import { figures, type Words, words } from "../units/words.ts";
import type { HandStep } from "./answer/figures.ts";
import type { SizingDuty } from "./answer/lift.ts";
import { type Demand, observed_s } from "./demand.ts";
import type { LoggedRecord } from "./request.ts";
import { m3s } from "./to-answer.ts";
import { comfortable } from "./verdict.ts";

export function messageOf(
  verdict: SizingVerdict,
  moves: FlowEstimate | null,
  { required, requiredFlow, highestRequired_m3s, peak }: Demand,
  site: Site,
): string {
  const say = words(site.displayUnits);
  if (moves === null)
    return "What the pump moves is not known: neither measured, nor given by its curve and discharge.";
  const who = site.pumps === undefined ? "It moves" : "With one of the two failed, the other moves";
  const does = `${who} ${say.flow(moves.flow_m3s)}`;
  if (requiredFlow === null || verdict === "not-enough-data") return `${does}; how much comes in is not known.`;
  const asked = `${say.flow(requiredFlow.flow_m3s)} is required`;
  if (verdict === "undersized") {
    const rises = peak !== null && peak.flow_m3s > moves.flow_m3s;
    const atPeak = rises
      ? ` At the measured peak, ${say.flow(peak.flow_m3s)}, the water rises although the pump runs.`
      : "";
    return `${does}, and ${asked}: too small.${atPeak}`;
  }
  if (verdict === "marginal" && requiredFlow.flow_m3s * comfortable <= moves.flow_m3s) {
    const most = say.flow(highestRequired_m3s ?? requiredFlow.flow_m3s);
    return `${does}, and ${asked}: enough for that, but not for the upper end of its range, ${most}.`;
  }
  if (verdict === "marginal") return `${does}, and ${asked}: just enough, with hardly anything to spare.`;
  // A hand test tells of its own hour only.
  const byHand = required?.allowance != null && required.allowance.window_s === null;
  return `${does}, and ${asked}: enough${byHand ? ", if the rise was watched in the wettest weather there is" : ""}.`;
}

/** That they meet there: what the discharge asks for at that flow is what the curve gives. */
export function meetingStep({ discharge }: Site, duty: SizingDuty, say: Words): HandStep[] {
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

export function flowSteps(
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

export function energySteps(power: InputPower, use: EnergyUse, { summary }: LoggedRecord): HandStep[] {
  const { run_s, starts } = summary.totals;
  const [ran_h, seen_h] = [run_s / 3600, observed_s(summary) / 3600];
  const perCycle: HandStep[] =
    use.perCycle_j === null
      ? []
      : [
          {
            what: "energy in a cycle",
            sum: `${figures(power.power_w)} W × ${figures(run_s / starts)} s, the mean run, ÷ 3600`,
            result: `${figures((1000 * use.perCycle_j) / kilowattHour_j)} Wh`,
            source: null,
          },
        ];
  return [
    ...perCycle,
    {
      what: "energy in a year",
      sum: `${figures(power.power_w)} W × ${figures(ran_h)} h of running in ${figures(seen_h)} h watched × 8766 h`,
      result: `${figures(use.perYear_j / kilowattHour_j)} kWh`,
      source: `power ${power.words}; ${use.words}`,
    },
  ];
}
