// The battery of a site file as a replay needs it: seconds of running, by Peukert's law on the current while the pump runs.

import type { BackupSite } from "../sizing/battery/backup-site.ts";
import { type BatteryRating, dischargeTime_h, temperatureFactor } from "../sizing/battery/peukert.ts";
import type { EnergySource } from "./installation.ts";

/**
 * How long the battery runs the pump. The law is taken at the current that flows while the pump runs, since that
 * is what drains it, and not at the mean over runs and rests, which would promise more.
 *
 * @param pumpPower_w what the pump draws while it runs, before the inverter's loss
 * @param charges_s   from empty to full while the mains are on; null: it is not charged during the replay
 * @returns null where no capacity is stated: there is no battery
 */
export function energySource(
  backup: BackupSite,
  pumpPower_w: number,
  charges_s: number | null = null,
): EnergySource | null {
  if (backup.capacity_ah === null) return null;
  const rating: BatteryRating = {
    capacity_ah: (backup.capacity_ah * temperatureFactor(backup.temperature_c ?? warm_c)) / backup.ageingFactor,
    ratedHours: backup.ratedHours,
    exponent: backup.peukertExponent,
  };
  const fromBattery_w = pumpPower_w / backup.inverterEfficiency;
  const holds_s = (power_w: number) =>
    backup.depthOfDischarge * dischargeTime_h(rating, power_w / backup.volts) * secondsPerHour;
  const runTime_s = holds_s(fromBattery_w);
  return {
    runTime_s,
    regained_ss: charges_s === null ? 0 : runTime_s / charges_s,
    idle_ss: backup.inverterIdle_w === null ? 0 : runTime_s / holds_s(backup.inverterIdle_w),
    power_w: fromBattery_w,
  };
}

/** From here up nothing is taken off for the cold. */
const warm_c = 25;
const secondsPerHour = 3600;
