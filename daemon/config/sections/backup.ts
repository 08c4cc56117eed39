// The `backup` group of the site file: what stands ready for when the mains fail.

import * as z from "zod";
import type { BackupSite } from "../../../analysis/sizing/battery/backup-site.ts";
import { quantity } from "../quantity.ts";

export const backupSchema = () =>
  z.strictObject({
    hold: quantity("duration", { above: "0 s", max: "30 d" })
      .optional()
      .describe(
        "it must hold for so long in the worst hours logged; without it, only how long a battery lasts is said",
      ),
    capacity: quantity("charge", { above: "0 Ah" })
      .optional()
      .describe("of the battery that is there or offered, at `rated_time`; without it, one is worked out"),
    voltage: quantity("voltage", { above: "0 V", max: "400 V" }).prefault("12 V").describe("of the battery, nominal"),
    rated_time: quantity("duration", { min: "1 h", max: "100 h" })
      .prefault("20 h")
      .describe("discharge time at which its capacity is stated"),
    peukert_exponent: z
      .number()
      .min(1)
      .max(2)
      .default(1.2)
      .describe("how much less it gives at a larger current; 1.2 for flooded lead-acid, common practice, no source"),
    depth_of_discharge: quantity("share", { above: "0 %", max: "100 %" })
      .prefault("50 %")
      .describe("share of the charge that may be drawn; half of a lead-acid battery's, common practice, no source"),
    inverter_efficiency: quantity("share", { min: "10 %", max: "100 %" })
      .prefault("85 %")
      .describe(
        "from battery to motor, common practice, no source; `100 %` for a pump that runs on the battery itself",
      ),
    inverter_idle: quantity("power", { max: "1 kW" })
      .optional()
      .describe("what the inverter draws while the pump rests, from its data sheet"),
    temperature: quantity("temperature", { min: "-30 °C", max: "60 °C" })
      .optional()
      .describe("of the battery in winter; without it nothing is taken off for the cold"),
    ageing_factor: z
      .number()
      .min(1)
      .max(3)
      .default(1.25)
      .describe(
        "capacity to buy over capacity needed: it is replaced when four fifths are left (IEEE 485, from memory)",
      ),
    pump_power: quantity("power", { above: "0 W" })
      .optional()
      .describe("what the pump on the battery draws while it runs: nameplate volts times amperes, or a plug-in meter"),
    pump_flow: quantity("flow", { above: "0 L/min" })
      .optional()
      .describe("what the pump on the battery moves here, if that is another than the one on the mains"),
  });

export function toBackupSite(backup: z.output<ReturnType<typeof backupSchema>>): BackupSite {
  return {
    hold_s: backup.hold ?? null,
    capacity_ah: backup.capacity ?? null,
    volts: backup.voltage,
    ratedHours: backup.rated_time / 3600,
    peukertExponent: backup.peukert_exponent,
    depthOfDischarge: backup.depth_of_discharge,
    inverterEfficiency: backup.inverter_efficiency,
    inverterIdle_w: backup.inverter_idle ?? null,
    temperature_c: backup.temperature ?? null,
    ageingFactor: backup.ageing_factor,
    pumpPower_w: backup.pump_power ?? null,
    pumpFlow_m3s: backup.pump_flow ?? null,
  };
}
