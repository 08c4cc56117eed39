// The flow that must be reckoned with: the measured peak with its allowance or what the storm to hold brings, and why.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { Site } from "../site.ts";
import { governing } from "../storms/governing.ts";
import { words } from "../units/words.ts";
import type { HandStep } from "./answer/figures.ts";
import type { Demand } from "./demand.ts";
import type { StormDemand } from "./storm-demand.ts";
import { atLeast, lpm, m3s, sizingFlow, u95_lpm } from "./to-answer.ts";

/** @param bounds more may have come in than the peak: 0 where nothing shows how much at most */
export function requiredOf(
  site: Site,
  peak: FlowEstimate | null,
  window_s: number | null,
  bounds: { readonly isLeast: boolean; readonly most_m3s: number },
  storm: StormDemand | null,
): Pick<Demand, "required" | "requiredFlow" | "highestRequired_m3s"> {
  const factor = site.design.inflowFactor;
  const allowed = peak && {
    ...peak,
    flow_m3s: Math.max(0, peak.flow_m3s) * factor,
    uFlow_m3s: peak.uFlow_m3s * factor,
  };
  const inflow = storm?.inflow ?? null;
  const requiredFlow = greater(allowed, inflow);
  if (requiredFlow === null) return { required: null, requiredFlow: null, highestRequired_m3s: null };
  const say = words(site.displayUnits);
  const { isLeast: peakIsLeast } = bounds;
  const least = atLeast(peakIsLeast);
  const governs = requiredFlow === allowed ? "allowance" : "design-storm";
  const steps: HandStep[] = [];
  if (peak !== null && allowed !== null) {
    steps.push({
      what: "peak with its allowance",
      sum: `${peakIsLeast ? "at least " : ""}${say.flow(peak.flow_m3s)} × ${factor}`,
      result: `${peakIsLeast ? "at least " : ""}${say.flow(allowed.flow_m3s)}`,
      source: "an allowance over the measured peak for worse storms: common practice, no source",
    });
  }
  if (storm?.step) steps.push(storm.step);
  const highest_m3s = [
    allowed === null ? 0 : allowed.flow_m3s + m3s(u95_lpm(allowed)),
    factor * bounds.most_m3s,
    storm?.answer == null ? 0 : m3s(storm.answer.inflow.high_lpm),
  ];
  return {
    requiredFlow,
    highestRequired_m3s: Math.max(...highest_m3s),
    required: {
      flow:
        governs === "allowance"
          ? { ...sizingFlow(requiredFlow), ...least }
          : { lpm: lpm(requiredFlow.flow_m3s), u95_lpm: null, ...least },
      governs,
      why: whyGoverns(site, peak, peakIsLeast, storm),
      allowance: peak &&
        allowed && {
          peak: { ...sizingFlow(peak), ...least },
          window_s,
          factor,
          flow: { ...sizingFlow(allowed), ...least },
        },
      design_storm: storm?.answer ?? null,
      steps,
    },
  };
}

function whyGoverns(site: Site, peak: FlowEstimate | null, isLeast: boolean, storm: StormDemand | null): string {
  const design = storm?.design ?? null;
  if (peak === null) return "There is no measured peak to put an allowance on: the design storm alone says how much.";
  if (design === null) {
    const why = storm?.noDesign ?? "a hand test does not tell how the inflow answers rain";
    return `The measured peak with its allowance. What a storm of the rainfall tables would bring is not known: ${why}.`;
  }
  const measured = {
    inflow_m3s: peak.flow_m3s,
    uInflow_m3s: peak.uFlow_m3s,
    at_s: Number.NaN,
    ...(isLeast && { isLeast }),
  };
  return governing(measured, site.design.inflowFactor, design, words(site.displayUnits))?.why ?? "";
}

export function greater(one: FlowEstimate | null, other: FlowEstimate | null): FlowEstimate | null {
  if (one === null || other === null) return one ?? other;
  return other.flow_m3s > one.flow_m3s ? other : one;
}
