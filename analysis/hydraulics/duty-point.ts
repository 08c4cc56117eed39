// The flow and head at which a pump works on its discharge, water at a given level.

import type { DischargeSite } from "../site.ts";
import { type CurvesMeeting, curvesMeet, type DutyPoint } from "./curves-meet.ts";
import { dischargeHead } from "./discharge-head.ts";
import type { PumpCurve } from "./pump-curve.ts";

/**
 * Where the pump's curve meets the discharge's curve.
 *
 * @param curve         the pump
 * @param discharge     high point, pipe and fittings
 * @param waterLevel_m  level above the inside bottom of the basin
 * @param temperature_c of the water, 0 to 40 °C
 * @returns flow in m³/s and head in m; null when the curves do not meet between the curve's points
 * @throws {RangeError} as `dischargeHead`
 */
export function dutyPoint(
  curve: PumpCurve,
  discharge: DischargeSite,
  waterLevel_m: number,
  temperature_c?: number,
): DutyPoint | null {
  return meetDischarge(curve, discharge, waterLevel_m, temperature_c).dutyPoint;
}

/** As `dutyPoint`, and says why when there is none. */
export function meetDischarge(
  curve: PumpCurve,
  discharge: DischargeSite,
  waterLevel_m: number,
  temperature_c?: number,
): CurvesMeeting {
  return curvesMeet(
    curve,
    (flow_m3s) => dischargeHead(discharge, flow_m3s, waterLevel_m, temperature_c).totalDynamicHead_m,
  );
}
