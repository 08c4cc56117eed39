// A battery for so many hours, and how long a given one lasts: the pump's share of the time, its current, Peukert's law.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { iso } from "../../report/summarize.ts";
import type { SizingBackup, SizingBattery } from "../answer/backup.ts";
import type { Demand } from "../demand.ts";
import type { PresentPump } from "../present-pump.ts";
import type { LoggedRecord } from "../request.ts";
import type { BackupSite } from "./backup-site.ts";
import { batteryOverRecord } from "./battery-over-record.ts";
import { capacityFor_ah, dischargeTime_h, temperatureFactor } from "./peukert.ts";

/** Batteries are sold in such steps. */
const step_ah = 5;

/** A battery that nothing draws on is flat in three hundred years. */
const slowest_1s = 1e-10;

/** The pump on the battery: what it moves, and what it draws from the battery while it runs and while it rests. */
export interface Load extends BackupSite {
  readonly pump_m3s: number;
  readonly power_w: number;
  readonly efficiency: number;
  readonly current_a: number;
  readonly idle_a: number;
  readonly exponent: number;
  readonly cold: number;
}

export function loadOf(backup: BackupSite, present: PresentPump | null): Load | null {
  const pump_m3s = backup.pumpFlow_m3s ?? present?.moves?.flow_m3s ?? null;
  const power_w = backup.pumpPower_w ?? present?.inputPower_w ?? null;
  if (pump_m3s === null || power_w === null) return null;
  const { volts, inverterEfficiency, inverterIdle_w, temperature_c } = backup;
  return {
    ...backup,
    pump_m3s,
    power_w,
    efficiency: inverterEfficiency,
    exponent: backup.peukertExponent,
    current_a: power_w / (volts * inverterEfficiency),
    idle_a: (inverterIdle_w ?? 0) / volts,
    cold: temperature_c === null ? 1 : temperatureFactor(temperature_c),
  };
}

export function batteryFor(load: Load, hold_s: number, inflow: FlowEstimate): SizingBattery {
  const { current_a, idle_a, volts, ratedHours, exponent, depthOfDischarge, cold, ageingFactor } = load;
  const hours = hold_s / 3600;
  const duty = Math.min(1, Math.max(0, inflow.flow_m3s) / load.pump_m3s);
  const on_h = hours * duty;
  // To draw a share d in so many hours of running is the pace of a full discharge in 1/d times as many.
  const running_ah = on_h === 0 ? 0 : capacityFor_ah(current_a, on_h / depthOfDischarge, ratedHours, exponent);
  const idle_ah = (idle_a * (hours - on_h)) / depthOfDischarge;
  const needed_ah = (running_ah + idle_ah) / cold;
  return {
    hours,
    volts,
    current_a,
    duty,
    peukert_exponent: exponent,
    rated_hours: ratedHours,
    depth_of_discharge: depthOfDischarge,
    temperature_factor: cold,
    needed_ah,
    ask_for_ah: step_ah * Math.ceil((needed_ah * ageingFactor) / step_ah - 1e-9),
  };
}

/** Share of the charge that may be drawn, drawn in an hour at a steady inflow. */
function drawnPerHour(load: Load, capacity_ah: number, inflow_m3s: number): number {
  const { current_a, idle_a, depthOfDischarge, ratedHours, exponent, cold, pump_m3s } = load;
  const duty = Math.min(1, Math.max(0, inflow_m3s) / pump_m3s);
  const rating = { capacity_ah: capacity_ah * cold, ratedHours, exponent };
  const perHour = duty / dischargeTime_h(rating, current_a) + ((1 - duty) * idle_a) / rating.capacity_ah;
  return perHour / depthOfDischarge;
}

export function runtimeOf(
  load: Load,
  { peak, mean }: Demand,
  storm: FlowEstimate | null,
  logged: LoggedRecord | null,
): SizingBackup["runtime"] {
  const { capacity_ah, volts, hold_s, ageingFactor } = load;
  if (capacity_ah === null) return null;
  const at = (inflow: FlowEstimate | null, capacity = capacity_ah / ageingFactor) => {
    const perHour = inflow === null ? 0 : drawnPerHour(load, capacity, inflow.flow_m3s);
    return perHour > 0 ? 3600 / perHour : null;
  };
  const perSecond = (inflow_m3s: number) =>
    Math.max(slowest_1s, drawnPerHour(load, capacity_ah / ageingFactor, inflow_m3s) / 3600);
  const over = batteryOverRecord(logged?.inflow ?? [], perSecond);
  const at_storm_s = at(storm);
  return {
    capacity_ah,
    volts,
    at_peak_s: at(peak),
    at_storm_s,
    at_mean_s: at(mean),
    new_at_storm_s: at(storm, capacity_ah),
    over_record: over && { from: iso(over.from_s), s: over.lasts_s },
    enough: hold_s === null || at_storm_s === null ? null : at_storm_s >= hold_s,
  };
}
