// The figures behind a finding, as a reader's words and units. The key's SI suffix says how each is converted.

import type { Evidence } from "../analysis/findings/finding.ts";
import { evidenceWord, leftOutWhenNull, valueWord } from "./evidence-words.ts";
import { duration, fixed, type Measure, quantity, type UnitSystem } from "./format.ts";
import type { SiteTime } from "./site-time.ts";

export interface EvidenceLine {
  readonly label: string;
  readonly value: string;
}

export function evidenceLines(evidence: Evidence, system: UnitSystem, time: SiteTime): EvidenceLine[] {
  const telling = Object.entries(evidence).filter(([key, value]) => value !== null || !leftOutWhenNull.has(key));
  return telling.map(([key, value]) => {
    const { name, suffix } = split(key);
    return {
      label: labelOf(key, evidence) ?? spacedOut(name),
      value: wordOf(key, value) ?? written(name, suffix, value, system, time),
    };
  });
}

/** Beside the highest it is the one that was there when it began. */
function labelOf(key: string, evidence: Evidence): string | undefined {
  return key === "level_m" && "highest_level_m" in evidence ? "water level at first" : evidenceWord[key];
}

/** Some words mean one thing of a sensor and another of a cause. */
function wordOf(key: string, value: Evidence[string]): string | undefined {
  return typeof value === "string" ? valueWord[`${key} ${value}`] : undefined;
}

const measures: Readonly<Record<string, Measure>> = {
  m: "level",
  ms: "levelRate",
  m3: "volume",
  m3s: "flow",
  c: "temperature",
};

function written(name: string, suffix: string, value: Evidence[string], system: UnitSystem, time: SiteTime): string {
  if (value === null || value === undefined) return "not known";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "string") return valueWord[value] ?? value.replaceAll("-", " ");
  const measure = /head/i.test(name) && suffix === "m" ? "head" : measures[suffix];
  if (measure) return quantity(value, measure, system);
  if (suffix === "s") return isInstant(name, value) ? time.dayAndClock(value) : duration(value);
  if (suffix === "a") return `${fixed(value, 1)} A`;
  if (suffix === "w") return `${fixed(value, 0)} W`;
  return name === "inflow_factor" ? `× ${Number(value.toFixed(2))}` : plain(value);
}

/** Seconds are an instant when the name says so and the figure is of this age. */
function isInstant(name: string, value: number): boolean {
  return value > 1e8 && /(^|[a-z])(at|since|from|to|time)$/i.test(name);
}

function plain(value: number): string {
  if (Number.isInteger(value)) return String(value);
  return fixed(value, Math.abs(value) < 10 ? 2 : 1);
}

/** A unit stands behind the last underscore, where there is one: `starts_in_an_hour` has none. */
function split(key: string): { name: string; suffix: string } {
  const [, name = key, suffix = ""] = /^(.+)_(m|ms|m3|m3s|s|a|w|c)$/.exec(key) ?? [];
  return { name, suffix };
}

/** For a key that has no words yet: `uInflow` becomes `inflow, standard uncertainty`, `in_a_row` becomes `in a row`. */
function spacedOut(name: string): string {
  const uncertainty = /^u[A-Z]/.test(name);
  const spaced = (uncertainty ? name.slice(1) : name)
    .replace(/([a-z0-9])([A-Z])/g, "$1 $2")
    .replace(/([a-z])([0-9])/g, "$1 $2")
    .replaceAll("_", " ")
    .toLowerCase();
  return uncertainty ? `${spaced}, standard uncertainty` : spaced;
}
