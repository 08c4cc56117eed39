// What must stand ready when the mains or the pump fail: a standby pump, and a battery for so many hours of the worst that
// was logged. Peukert's law is peukert.ts's; a battery over the recorded storm minute by minute is the replay's.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { iso } from "../report/summarize.ts";
import type { Site } from "../site.ts";
import { figures, type Words, words } from "../units/words.ts";
import type { SizingBackup, SizingBattery } from "./answer/backup.ts";
import type { HandStep } from "./answer/figures.ts";
import { ratingFor } from "./ask-for.ts";
import type { BackupSite } from "./backup-site.ts";
import { batteryOverRecord } from "./battery-over-record.ts";
import type { Demand } from "./demand.ts";
import { lowestLevel_m } from "./head.ts";
import { capacityFor_ah, dischargeTime_h, temperatureFactor } from "./peukert.ts";
import type { PresentPump } from "./present-pump.ts";
import type { LoggedRecord } from "./request.ts";
import { lpm } from "./to-answer.ts";
import { worstHours } from "./worst-hours.ts";

/** Batteries are sold in such steps. */
const step_ah = 5;
/** A battery that nothing draws on is flat in three hundred years. */
const slowest_1s = 1e-10;
/** The night that a storm takes the mains, where the site file does not say for how long; for a given battery only. */
const usualWindow_s = 24 * 3600;

/** @returns null where neither a peak nor a battery says anything */
export function backupAnswer(
  site: Site,
  demand: Demand,
  present: PresentPump | null,
  logged: LoggedRecord | null,
): SizingBackup | null {
  const backup = site.backup ?? null;
  const standby = standbyPump(site, demand.peak);
  const load = backup && loadOf(backup, present);
  const worst = worstOf(backup?.hold_s ?? usualWindow_s, demand, logged);
  if (standby === null && load === null) return null;
  const say = words(site.displayUnits);
  const battery = load && worst && backup?.hold_s != null ? batteryFor(load, backup.hold_s, worst.inflow) : null;
  const runtime = load && runtimeOf(load, demand, worst?.inflow ?? null, logged);
  return {
    standby,
    battery,
    runtime,
    message: messageOf(backup, load, battery, runtime, say),
    steps: load && battery && worst ? stepsOf(load, battery, worst, say) : [],
  };
}

function standbyPump(site: Site, peak: FlowEstimate | null): SizingBackup["standby"] {
  if (peak === null || !(peak.flow_m3s > 0)) return null;
  if (site.discharge === null) {
    const flow = words(site.displayUnits).flow(peak.flow_m3s);
    return { lpm: lpm(peak.flow_m3s), head_m: null, words: `at least ${flow}, at the head of its own discharge` };
  }
  const rating = ratingFor(site.discharge, peak.flow_m3s, lowestLevel_m(site), site.displayUnits);
  return { lpm: lpm(rating.flow_m3s), head_m: rating.head_m, words: rating.words };
}

/** The pump on the battery: what it moves, and what it draws from the battery while it runs and while it rests. */
interface Load extends BackupSite {
  readonly pump_m3s: number;
  readonly power_w: number;
  readonly efficiency: number;
  readonly current_a: number;
  readonly idle_a: number;
  readonly exponent: number;
  readonly cold: number;
}

function loadOf(backup: BackupSite, present: PresentPump | null): Load | null {
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

interface Worst {
  readonly inflow: FlowEstimate;
  readonly how: string;
}

function worstOf(window_s: number, { peak }: Demand, logged: LoggedRecord | null): Worst | null {
  const hours = logged === null ? null : worstHours(logged.inflow, window_s);
  if (hours !== null) {
    const { inflow_m3s, uInflow_m3s } = hours;
    const inflow = { flow_m3s: inflow_m3s, uFlow_m3s: uInflow_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
    return { inflow, how: `mean inflow of the worst ${figures(window_s / 3600)} h logged` };
  }
  return peak && { inflow: peak, how: "the peak, held all the time, since no such stretch was logged" };
}

function batteryFor(load: Load, hold_s: number, inflow: FlowEstimate): SizingBattery {
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

function runtimeOf(
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

function messageOf(
  backup: BackupSite | null,
  load: Load | null,
  battery: SizingBattery | null,
  runtime: SizingBackup["runtime"],
  say: Words,
): string {
  if (backup === null)
    return "How long the house must get through without mains is not given, so no battery can be named.";
  if (load === null) return "What the pump on the battery draws, or moves, is not known, so no battery can be named.";
  const parts: string[] = [];
  if (battery !== null) {
    parts.push(
      `For ${figures(battery.hours)} h of the worst that was logged, with the pump running ${figures(100 * battery.duty)} % of the time: a battery of at least ${battery.ask_for_ah} Ah at ${battery.volts} V, rated over ${figures(battery.rated_hours)} h.`,
    );
    if (battery.duty >= 1) parts.push("The pump runs all the time then, and the water rises all the same.");
  }
  if (runtime?.at_storm_s != null) {
    const isNew = runtime.new_at_storm_s === null ? "" : ` (${say.duration(runtime.new_at_storm_s)} while it is new)`;
    parts.push(
      `The ${figures(runtime.capacity_ah)} Ah that are given last ${say.duration(runtime.at_storm_s)} of it once the battery is old${isNew}.`,
    );
  }
  const over = runtime?.over_record ?? null;
  if (over !== null && over.s !== null) {
    parts.push(`From the worst moment of the record on they last ${say.duration(over.s)}.`);
  }
  return parts.join(" ") || "How long it must hold is not given (backup.hold).";
}

function stepsOf(load: Load, battery: SizingBattery, worst: Worst, say: Words): HandStep[] {
  const { hours, duty, needed_ah, ask_for_ah, temperature_factor: cold } = battery;
  const on_h = hours * duty;
  const full_h = on_h / load.depthOfDischarge;
  const law = full_h <= load.ratedHours;
  const running_ah = capacityFor_ah(load.current_a, full_h, load.ratedHours, load.exponent);
  const steps: HandStep[] = [
    {
      what: "share of the time that the pump runs",
      sum: `${say.flow(worst.inflow.flow_m3s)} (${worst.how}) ÷ ${say.flow(load.pump_m3s)}`,
      result: `${figures(100 * duty)} %`,
      source: null,
    },
    {
      what: "current while it runs",
      sum: `${figures(load.power_w)} W ÷ (${load.volts} V × ${figures(load.efficiency)})`,
      result: `${figures(load.current_a)} A`,
      source: "inverter's efficiency as the site file has it",
    },
    {
      what: "time that it runs",
      sum: `${figures(hours)} h × ${figures(100 * duty)} %`,
      result: `${figures(on_h)} h`,
      source: null,
    },
    {
      what: "capacity for that",
      sum: law
        ? `C = I·H·(t/(d·H))^(1/k) = ${figures(load.current_a)} A × ${figures(load.ratedHours)} h × (${figures(on_h)} h ÷ (${figures(load.depthOfDischarge)} × ${figures(load.ratedHours)} h))^(1/${load.exponent})`
        : `I·t/d = ${figures(load.current_a)} A × ${figures(on_h)} h ÷ ${figures(load.depthOfDischarge)}`,
      result: `${figures(running_ah)} Ah`,
      source: law
        ? "Peukert's law at the current while it runs, not at the average, which would flatter"
        : "slower than the rated discharge, where more than the rated charge is not counted on",
    },
  ];
  if (load.idle_a > 0) {
    steps.push({
      what: "for the inverter while the pump rests",
      sum: `${figures(load.idle_a)} A × ${figures(hours - on_h)} h ÷ ${figures(load.depthOfDischarge)}`,
      result: `${figures((load.idle_a * (hours - on_h)) / load.depthOfDischarge)} Ah`,
      source: null,
    });
  }
  if (cold < 1) {
    steps.push({
      what: "in the cold",
      sum: `÷ ${figures(cold)}`,
      result: `${figures(needed_ah)} Ah`,
      source: "IEEE Std 485, table 1, from memory",
    });
  }
  steps.push({
    what: "to buy, so that it still does when it is old",
    sum: `${figures(needed_ah)} Ah × ${figures(load.ageingFactor)}, rounded up`,
    result: `${ask_for_ah} Ah at ${load.volts} V`,
    source: "IEEE Std 485, from memory: replaced when four fifths of its capacity are left",
  });
  return steps;
}
