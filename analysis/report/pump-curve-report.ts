// The report's `pump`: what it moves at each level as learned from its runs, what its published curve gives there, and in
// words what fits.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { withParts } from "../cycles/flow-arithmetic.ts";
import { dutyPoint } from "../hydraulics/duty-point.ts";
import { type LostHead, lostHead } from "../hydraulics/lost-head.ts";
import { pumpCurve } from "../hydraulics/pump-curve.ts";
import { capabilityLine } from "../pump-flow/capability-line.ts";
import type { CapabilityState } from "../pump-flow/capability-state.ts";
import { capabilityAt } from "../pump-flow/pump-capability.ts";
import { hasLost, slowChange } from "../pump-flow/pump-change.ts";
import type { PumpHistoryState } from "../pump-flow/pump-history.ts";
import type { Site } from "../site.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import type { SharedErrors } from "../uncertainty/shared-errors.ts";
import { fromSi } from "../units/unit.ts";
import type { ReportPumpCurve } from "./report.ts";

const m3sToLpm = 60_000;
const points = 5;
/** A decline against its own past of this share is worth a word. */
const declined = 0.05;
/** Worse known than this, a flow says nothing against a curve. */
const vague = 0.15;

/** @returns null before anything is known of what the pump moves */
export function pumpCurveReport(
  site: Site,
  capability: CapabilityState,
  history: PumpHistoryState,
  shared: SharedErrors,
): ReportPumpCurve | null {
  const usual = capabilityAt(capability, null);
  if (usual === null) return null;
  const { discharge, pump } = site;
  const line = capabilityLine(capability);
  const levels = line?.level_m == null ? [] : between(line.lowest_m, line.highest_m);
  const all = (flow: FlowEstimate) =>
    withParts(flow, { geometry: shared.geometry * flow.flow_m3s, calibration: shared.calibration * flow.flow_m3s });
  const published = pump?.curve && discharge ? { curve: pumpCurve(pump.curve), discharge } : null;
  const level_m = line?.level_m ?? site.basin.stopLevel_m;
  const lost =
    published === null || level_m === null ? null : lostHead(published.curve, published.discharge, level_m, all(usual));
  const tells = lost !== null && usual.uFlow_m3s < vague * usual.flow_m3s;
  return {
    curve: levels.map((level) => {
      const flow = all(capabilityAt(capability, level) ?? usual);
      return {
        level_mm: figure(level * 1000),
        lift_m: discharge === null ? null : figure(discharge.highPoint_m - level),
        lpm: figure(flow.flow_m3s * m3sToLpm),
        u95_lpm: figure(studentTQuantile(0.975, flow.degreesOfFreedom) * flow.uFlow_m3s * m3sToLpm),
      };
    }),
    expected:
      published === null
        ? []
        : levels.flatMap((level) => {
            const duty = dutyPoint(published.curve, published.discharge, level);
            return duty === null
              ? []
              : [
                  {
                    level_mm: figure(level * 1000),
                    lpm: figure(duty.flow_m3s * m3sToLpm),
                    head_m: figure(duty.head_m),
                  },
                ];
          }),
    steepness_lpm_per_m: line?.ownSlope
      ? {
          measured: figure(line.ownSlope.slope_m2s * m3sToLpm),
          u95: figure(1.96 * line.ownSlope.uSlope_m2s * m3sToLpm),
          expected: expectedSteepness(published, line.lowest_m, line.highest_m),
        }
      : null,
    shortfall_lpm: lost && figure(lost.shortfall_m3s * m3sToLpm),
    shortfall_u95_lpm: lost && figure(1.96 * lost.uShortfall_m3s * m3sToLpm),
    extra_head_m: lost && figure(lost.extraHead_m),
    extra_head_u95_m: lost && figure(1.96 * lost.uExtraHead_m),
    verdict: tells ? lost.fits : "not-enough-data",
    message: tells ? inWords(lost, usual, history, site) : whyNot(published !== null, lost),
  };
}

function between(lowest_m: number, highest_m: number): number[] {
  return Array.from({ length: points }, (_, i) => lowest_m + ((highest_m - lowest_m) * i) / (points - 1));
}

function expectedSteepness(
  published: { curve: ReturnType<typeof pumpCurve>; discharge: NonNullable<Site["discharge"]> } | null,
  lowest_m: number,
  highest_m: number,
): number | null {
  if (published === null || !(highest_m > lowest_m)) return null;
  const low = dutyPoint(published.curve, published.discharge, lowest_m);
  const high = dutyPoint(published.curve, published.discharge, highest_m);
  return low && high && figure(((high.flow_m3s - low.flow_m3s) / (highest_m - lowest_m)) * m3sToLpm);
}

function whyNot(published: boolean, lost: LostHead | null): string {
  if (!published)
    return "Without the pump's published curve and its discharge there is nothing to hold its flow against.";
  if (lost === null)
    return "The measured flow lies off the published curve: curve, pipe or high point as given do not fit.";
  return "What the pump moves is not known well enough yet to hold it against its published curve.";
}

/** Pump and discharge are told apart only as far as a decline against its own past tells: a few decimetres of lift do not. */
function inWords(lost: LostHead, usual: FlowEstimate, history: PumpHistoryState, { displayUnits }: Site): string {
  const flow = flowIn(displayUnits);
  const length = lengthIn(displayUnits);
  const moves = `It moves ${flow(usual.flow_m3s)}`;
  const expected = flow(lost.expectedFlow_m3s);
  if (lost.fits === "as-published") {
    return `${moves} where its published curve gives ${expected} on this discharge: no more apart than such curves are.`;
  }
  if (lost.fits === "more-than-published") {
    return `${moves}, more than the ${expected} of its published curve: the pump or the pipe is another than the site file says, or a level or size in it is off. Check those before relying on any figure from the curve.`;
  }
  const pipe = lost.samePipe_m === null ? "" : `, as much as ${length(lost.samePipe_m, 0)} more of the same pipe cost`;
  return `${moves} where its published curve gives ${expected}: ${length(lost.extraHead_m, 1)} of head are lost that nothing on paper explains${pipe}. ${since(history, flow)}`;
}

function since(history: PumpHistoryState, flow: (flow_m3s: number) => string): string {
  const change = slowChange(history);
  if (change === null)
    return "Either the pump is worn or the discharge costs more than given: its first months will show whether it declines.";
  if (hasLost(change, declined)) {
    return `It moved ${flow(change.before.flow_m3s)} in its best days here: something has changed since. Have the inlet, the check valve and the discharge looked at first, then the pump.`;
  }
  return "It has moved so all along: a longer or narrower pipe, a check valve that opens badly, or another pump than the curve's are likelier than wear.";
}

function flowIn(displayUnits: Site["displayUnits"]): (flow_m3s: number) => string {
  const unit = displayUnits === "us" ? "gpm" : "L/min";
  return (flow_m3s) => `${fromSi(flow_m3s, unit).toFixed(0)} ${unit}`;
}

function lengthIn(displayUnits: Site["displayUnits"]): (length_m: number, digits: number) => string {
  const unit = displayUnits === "us" ? "ft" : "m";
  return (length_m, digits) => `${fromSi(length_m, unit).toFixed(digits)} ${unit}`;
}

function figure(value: number): number {
  return Number(value.toPrecision(5));
}
