// What a pump draws from the supply, and what that comes to over a cycle and over a year.

import type { PumpSite } from "../site.ts";
import type { DutyPoint } from "./curves-meet.ts";
import { usualWater_c } from "./discharge-head.ts";
import { gravity_ms2 } from "./velocity-head.ts";
import { waterDensity_kgm3 } from "./water.ts";

/** Power that the water takes on, ρ·g·Q·H, in W. */
export function hydraulicPower_w({ flow_m3s, head_m }: DutyPoint, temperature_c = usualWater_c): number {
  return waterDensity_kgm3(temperature_c) * gravity_ms2 * flow_m3s * head_m;
}

/** What small pumps with single-phase motors of under a kilowatt reach; common practice, no source. */
export const typicalEfficiency = {
  pump: 0.35,
  motor: 0.55,
  uShare: 0.3,
  source: "common practice, no source",
} as const;

export interface InputPower {
  readonly power_w: number;
  /** Null: nothing was stated of how well it is known. */
  readonly uPower_w: number | null;
  /** `typical`: by efficiencies that are not this pump's. */
  readonly basis: "measured" | "given" | "efficiency" | "typical";
  readonly words: string;
}

export interface InputPowerOptions {
  /** Mean while it ran, as logged. */
  readonly measured_w?: number | null;
  readonly uMeasured_w?: number | null;
  /** Take typical efficiencies for those that the site does not give; without it they stay unknown. */
  readonly typical?: boolean;
  readonly temperature_c?: number;
}

/**
 * Power from the supply while the pump works: as measured, else as the site gives it, else by the efficiencies of pump and
 * motor at its duty point, P = ρ·g·Q·H / (η pump · η motor).
 *
 * @returns null where nothing tells
 */
export function inputPower(
  pump: PumpSite | null,
  duty: DutyPoint | null,
  options: InputPowerOptions = {},
): InputPower | null {
  const { measured_w = null, uMeasured_w = null, typical = false, temperature_c } = options;
  if (measured_w !== null) {
    return { power_w: measured_w, uPower_w: uMeasured_w, basis: "measured", words: "as measured while it ran" };
  }
  if (pump?.inputPower_w != null) {
    return { power_w: pump.inputPower_w, uPower_w: null, basis: "given", words: "as the site file gives it" };
  }
  const [ofPump, ofMotor] = [pump?.efficiency ?? null, pump?.motorEfficiency ?? null];
  if (duty === null || (!typical && (ofPump === null || ofMotor === null))) return null;
  const assumed = [ofPump === null ? "pump" : "", ofMotor === null ? "motor" : ""].filter((name) => name !== "");
  const [pumpShare, motorShare] = [ofPump ?? typicalEfficiency.pump, ofMotor ?? typicalEfficiency.motor];
  const power_w = hydraulicPower_w(duty, temperature_c) / (pumpShare * motorShare);
  const made = `power in the water over an efficiency of ${pumpShare} for the pump and ${motorShare} for the motor`;
  if (assumed.length === 0) return { power_w, uPower_w: null, basis: "efficiency", words: made };
  const uPower_w = power_w * typicalEfficiency.uShare;
  const words = `${made}; that of the ${assumed.join(" and the ")} is typical, not this one's (${typicalEfficiency.source})`;
  return { power_w, uPower_w, basis: "typical", words };
}

/** Joules in a kilowatt-hour. */
export const kilowattHour_j = 3.6e6;

export interface EnergyUse {
  readonly perCycle_j: number | null;
  readonly perYear_j: number;
  readonly uPerYear_j: number | null;
  /** Run time in a year like the logged span. */
  readonly runPerYear_s: number;
  readonly words: string;
}

/** 365.25 days. */
const year_s = 31_557_600;

/**
 * Energy from logged totals, as if the year were all like the logged span.
 *
 * @param logged run time and starts within the time that was observed, `span_s`
 * @returns null where nothing was observed
 */
export function energyUse(
  power: InputPower,
  logged: { readonly run_s: number; readonly starts: number; readonly span_s: number },
): EnergyUse | null {
  const { run_s, starts, span_s } = logged;
  if (!(span_s > 0) || !(run_s >= 0)) return null;
  const runPerYear_s = (run_s / span_s) * year_s;
  const days = Number((span_s / 86_400).toPrecision(3));
  return {
    perCycle_j: starts > 0 ? (power.power_w * run_s) / starts : null,
    perYear_j: power.power_w * runPerYear_s,
    uPerYear_j: power.uPower_w === null ? null : power.uPower_w * runPerYear_s,
    runPerYear_s,
    words: `as if the whole year were like the ${days} days that were logged; a wet or a dry season changes it`,
  };
}
