// A pump's curve from the three figures that a data sheet often gives alone: shut-off head, one point between, and the flow
// at no head. pump-curve.ts draws it.

import type { CurvePoint } from "../site.ts";

/**
 * The three points; `pumpCurve` carries a power law through them.
 *
 * @throws {RangeError} when the point between does not lie between the other two figures
 */
export function threeFigureCurve(
  shutOffHead_m: number,
  between: CurvePoint,
  maximumFlow_m3s: number,
): readonly [CurvePoint, CurvePoint, CurvePoint] {
  const { flow_m3s, head_m } = between;
  if (!(flow_m3s > 0 && flow_m3s < maximumFlow_m3s)) {
    throw new RangeError(
      `threeFigureCurve: the point between is at ${flow_m3s} m³/s; it must be from 0 to ${maximumFlow_m3s} m³/s`,
    );
  }
  if (!(head_m > 0 && head_m < shutOffHead_m)) {
    throw new RangeError(
      `threeFigureCurve: the point between has ${head_m} m; it must be from 0 to ${shutOffHead_m} m`,
    );
  }
  return [{ flow_m3s: 0, head_m: shutOffHead_m }, between, { flow_m3s: maximumFlow_m3s, head_m: 0 }];
}
