// The whole curve of a pump as it is, from its published one and what it was measured to move: for a pipe or a lift that it
// has not been run on.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { DischargeSite } from "../site.ts";
import { dischargeHead } from "./discharge-head.ts";
import { dutyPoint } from "./duty-point.ts";
import type { PumpCurve } from "./pump-curve.ts";
import { wornCurve } from "./worn-pump.ts";

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
