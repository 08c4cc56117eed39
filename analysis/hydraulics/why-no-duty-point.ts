// In words, with the figures that stand against each other: why a pump has no duty point on a discharge.

import type { DischargeSite } from "../site.ts";
import type { UnitSystem } from "../units/display.ts";
import { fromSi, type Unit } from "../units/unit.ts";
import type { NoDutyPoint } from "./curves-meet.ts";
import { dischargeHead } from "./discharge-head.ts";
import type { PumpCurve } from "./pump-curve.ts";

/**
 * @param reason as `meetDischarge` gives it, for the same curve, discharge and level
 * @returns a clause without a full stop: `its shut-off head, 25 ft (7.62 m), is under …`
 */
export function whyNoDutyPoint(
  reason: NoDutyPoint,
  curve: PumpCurve,
  discharge: DischargeSite,
  waterLevel_m: number,
  system: UnitSystem,
): string {
  const heads = both("ft", "m", system);
  const flows = both("gpm", "L/min", system);
  const lift = heads(dischargeHead(discharge, 0, waterLevel_m).staticHead_m);
  if (reason === "head-too-low") {
    const shutOff = heads(curve.shutOffHead_m ?? Number.NaN);
    return `the pump's shut-off head, ${shutOff}, is no more than the static head, ${lift}: it cannot lift the water to the highest point`;
  }
  const end_m3s = reason === "before-the-curve" ? curve.minimumFlow_m3s : curve.maximumFlow_m3s;
  const has = heads(curve.head_m(end_m3s) ?? Number.NaN);
  const asked = heads(dischargeHead(discharge, end_m3s, waterLevel_m).totalDynamicHead_m);
  return reason === "before-the-curve"
    ? `its curve begins at ${flows(end_m3s)} with ${has}, where the discharge asks for ${asked}: it works at less flow, where its curve says nothing`
    : `its curve ends at ${flows(end_m3s)} with ${has}, where the discharge asks for only ${asked}: it works at more flow, where its curve says nothing`;
}

function both(us: Unit, metric: Unit, system: UnitSystem): (si: number) => string {
  const inUnit = (si: number, unit: Unit) => `${Number(fromSi(si, unit).toPrecision(3))} ${unit}`;
  return (si) =>
    system === "us" ? `${inUnit(si, us)} (${inUnit(si, metric)})` : `${inUnit(si, metric)} (${inUnit(si, us)})`;
}
