// Why points are no pump's curve, in words that name both figures; null when they are one. Pure.

import type { CurvePoint } from "../../analysis/site.ts";
import { quantity, type UnitSystem } from "../../analysis/units/display.ts";

export function curveProblem(points: readonly CurvePoint[], units: UnitSystem): string | null {
  for (const [i, point] of points.entries()) {
    const before = points[i - 1];
    if (before === undefined) continue;
    const [flow, head] = [quantity(point.flow_m3s, "flow", units), quantity(point.head_m, "head", units)];
    if (!(point.flow_m3s > before.flow_m3s)) {
      return `The pump's points must go from small flow to large: ${flow} stands after ${quantity(before.flow_m3s, "flow", units)}.`;
    }
    if (point.head_m > before.head_m) {
      return `A pump's head falls as its flow rises: ${head} at ${flow} is more than ${quantity(before.head_m, "head", units)} before it.`;
    }
  }
  return null;
}
