// A pump's curve as its logged runs show it: the flow that was measured at each water level, and the head that the
// discharge asked for there. A short piece of a curve, and no more than was seen.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type CapabilityState, capabilityAt, capabilityLine } from "../inflow/pump-capability.ts";
import type { CurvePoint, DischargeSite } from "../site.ts";
import { dischargeHead } from "./discharge-head.ts";
import { dutyPoint } from "./duty-point.ts";
import { type PumpCurve, pumpCurve } from "./pump-curve.ts";
import { wornCurve } from "./worn-pump.ts";

/** What the pump moved with the water at a level. */
export interface LearnedFlow {
  readonly level_m: number;
  readonly flow_m3s: number;
  readonly uFlow_m3s: number;
}

export interface LearnedPoint extends CurvePoint {
  readonly level_m: number;
  readonly uFlow_m3s: number;
  /** By the flow's own alone: where that is too high, the head is too. What is given of the discharge counts as exact. */
  readonly uHead_m: number;
}

export interface LearnedCurve {
  /** Flow rising. */
  readonly points: readonly LearnedPoint[];
  /** Between the points and no further; null where their heads do not fall. */
  readonly curve: PumpCurve | null;
}

const levels = 5;

/** The flows that a pump's runs have taught, evenly over the levels that were seen; none before the third measured run. */
export function learnedFlows(capability: CapabilityState): LearnedFlow[] {
  const line = capabilityLine(capability);
  if (line === null || line.level_m === null || !(line.highest_m > line.lowest_m)) return [];
  return Array.from({ length: levels }, (_, i) => {
    const level_m = line.lowest_m + ((line.highest_m - line.lowest_m) * i) / (levels - 1);
    const { flow_m3s, uFlow_m3s } = capabilityAt(capability, level_m) ?? line.middle;
    return { level_m, flow_m3s, uFlow_m3s };
  });
}

/**
 * The curve that explains what was measured, on the discharge as given.
 *
 * @param flows by level, in any order
 * @throws {RangeError} as `dischargeHead`
 */
export function learnedCurve(flows: readonly LearnedFlow[], discharge: DischargeSite): LearnedCurve {
  const points = flows
    .map(({ level_m, flow_m3s, uFlow_m3s }): LearnedPoint => {
      const head = (flow: number) => dischargeHead(discharge, flow, level_m).totalDynamicHead_m;
      const head_m = head(flow_m3s);
      return { level_m, flow_m3s, uFlow_m3s, head_m, uHead_m: head(flow_m3s + uFlow_m3s) - head_m };
    })
    .sort((a, b) => a.flow_m3s - b.flow_m3s);
  const falls = points.every((point, i) => {
    const before = points[i - 1];
    return before === undefined || (point.flow_m3s > before.flow_m3s && point.head_m <= before.head_m);
  });
  return { points, curve: falls && points.length > 1 ? pumpCurve(points) : null };
}

/** The published curve as this pump has it: at `speed` of its speed by the affinity laws, 1 for as published. */
export interface FittedCurve {
  readonly curve: PumpCurve;
  readonly speed: number;
  readonly uSpeed: number;
}

const [slowest, fastest] = [0.3, 1.5];

/**
 * The published curve, by the affinity laws brought through what was measured: the whole curve of the pump as it is, for a
 * pipe or a lift that it has not been run on.
 *
 * @param measured flow at `level_m`
 * @returns null where no speed between three tenths and half again of its own explains the flow
 * @throws {RangeError} as `dischargeHead`
 */
export function fitToMeasured(
  published: PumpCurve,
  discharge: DischargeSite,
  level_m: number,
  measured: FlowEstimate,
): FittedCurve | null {
  const speed = speedAt(published, discharge, level_m, measured.flow_m3s);
  if (speed === null) return null;
  const step_m3s = 0.01 * measured.flow_m3s;
  const more = speedAt(published, discharge, level_m, measured.flow_m3s + step_m3s);
  const less = speedAt(published, discharge, level_m, measured.flow_m3s - step_m3s);
  if (more === null || less === null) return null;
  const uSpeed = ((more - less) / (2 * step_m3s)) * measured.uFlow_m3s;
  return { curve: wornCurve(published, { of: "speed", left: speed }), speed, uSpeed };
}

/** The speed at which the pump would move `flow_m3s`, by halving: the faster, the more. */
function speedAt(published: PumpCurve, discharge: DischargeSite, level_m: number, flow_m3s: number): number | null {
  const asked_m = dischargeHead(discharge, flow_m3s, level_m).totalDynamicHead_m;
  const spare_m = (speed: number) => {
    const own_m3s = flow_m3s / speed;
    if (own_m3s > published.maximumFlow_m3s) return Number.NEGATIVE_INFINITY;
    if (own_m3s < published.minimumFlow_m3s) return Number.POSITIVE_INFINITY;
    return speed ** 2 * (published.head_m(own_m3s) ?? Number.NaN) - asked_m;
  };
  let [low, high] = [slowest, fastest];
  if (!(spare_m(low) < 0 && spare_m(high) > 0)) return null;
  while (high - low > 1e-13) {
    const middle = (low + high) / 2;
    if (spare_m(middle) < 0) low = middle;
    else high = middle;
  }
  const speed = (low + high) / 2;
  // Off the ends of the published curve the halving meets an edge, not a head.
  return dutyPoint(wornCurve(published, { of: "speed", left: speed }), discharge, level_m) === null ? null : speed;
}
