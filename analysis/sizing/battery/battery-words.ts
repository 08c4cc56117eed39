// Standby and battery in words, and the sums behind the battery.

import { duration } from "../../units/duration.ts";
import { figures, twoFigures, type Words } from "../../units/words.ts";
import type { SizingBackup, SizingBattery } from "../answer/backup.ts";
import type { HandStep } from "../answer/figures.ts";
import type { Worst } from "./backup.ts";
import type { BackupSite } from "./backup-site.ts";
import type { Load } from "./battery.ts";
import { capacityFor_ah } from "./peukert.ts";

export function messageOf(
  backup: BackupSite | null,
  load: Load | null,
  battery: SizingBattery | null,
  runtime: SizingBackup["runtime"],
  at: string,
): string {
  if (backup === null)
    return "How long the house must get through without mains is not given, so no battery can be named.";
  if (load === null) return "What the pump on the battery draws, or moves, is not known, so no battery can be named.";
  const parts: string[] = [];
  if (battery !== null) {
    parts.push(
      `For ${figures(battery.hours)} h ${at}, with the pump running ${twoFigures(100 * battery.duty)} % of the time: a battery of at least ${battery.ask_for_ah} Ah at ${battery.volts} V, rated over ${figures(battery.rated_hours)} h.`,
    );
    if (battery.duty >= 1) parts.push("The pump runs all the time then, and the water rises all the same.");
  }
  if (runtime?.at_storm_s != null) {
    const isNew = runtime.new_at_storm_s === null ? "" : ` (${duration(runtime.new_at_storm_s)} while new)`;
    parts.push(
      `Once old, the ${figures(runtime.capacity_ah)} Ah that are given last ${duration(runtime.at_storm_s)}${isNew} ${at}${runtime.enough === false ? ": too little" : ""}.`,
    );
  }
  const over = runtime?.over_record ?? null;
  if (over !== null && over.s !== null) {
    parts.push(`From the worst moment of the record on they last ${duration(over.s)}.`);
  }
  return parts.join(" ") || "How long it must hold is not given (backup.hold).";
}

export function stepsOf(load: Load, battery: SizingBattery, worst: Worst, say: Words): HandStep[] {
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
      source: "inverter's efficiency as given, else 0.85: common practice, no source",
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
