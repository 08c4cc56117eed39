// The flow and head at which a pump works on its discharge, water at a given level.

import type { DischargeSite } from "../site.ts";
import { type CurvesMeeting, curvesMeet, type DutyPoint } from "./curves-meet.ts";
import { staticHead, waterOf } from "./discharge-head.ts";
import { dischargePath } from "./discharge-path.ts";
import { type FrictionFormula, pathLoss } from "./path-loss.ts";
import type { PumpCurve } from "./pump-curve.ts";

/**
 * Where the pump's curve meets the discharge's curve.
 *
 * @param curve         the pump
 * @param discharge     high point, pipe and fittings
 * @param waterLevel_m  level above the inside bottom of the basin
 * @param temperature_c of the water, 0 to 40 °C; null: as the site gives it, else 10 °C
 * @param formula       of friction; Darcy–Weisbach unless a comparison is wanted
 * @returns flow in m³/s and head in m; null when the curves do not meet between the curve's points
 * @throws {RangeError} as `dischargeHead`, and where Hazen–Williams is asked for and a length has no C
 */
export function dutyPoint(
  curve: PumpCurve,
  discharge: DischargeSite,
  waterLevel_m: number,
  temperature_c?: number | null,
  formula?: FrictionFormula,
): DutyPoint | null {
  return meetDischarge(curve, discharge, waterLevel_m, temperature_c, formula).dutyPoint;
}

/** As `dutyPoint`, and says why when there is none. */
export function meetDischarge(
  curve: PumpCurve,
  discharge: DischargeSite,
  waterLevel_m: number,
  temperature_c?: number | null,
  formula?: FrictionFormula,
): CurvesMeeting {
  const loss_m = pathLoss(dischargePath(discharge), waterOf(discharge, temperature_c), formula);
  if (loss_m === null) throw new RangeError("meetDischarge: a length of pipe has no Hazen–Williams C; give it one");
  const staticHead_m = staticHead(discharge, waterLevel_m);
  return curvesMeet(curve, (flow_m3s) => staticHead_m + loss_m(flow_m3s));
}
