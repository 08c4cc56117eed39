// A finding as one line of the console: what to do when it begins, what it came to when it ends.

import type { Evidence, Finding, FindingChange } from "../analysis/findings/finding.ts";
import { durationInWords } from "./config/duration-in-words.ts";
import { type InWords, inWords } from "./config/in-words.ts";

/** `power-lost began: See to the supply.`, `high-water ended after 12 min: highest level 20.3 in (516 mm)`. */
export function findingLine(finding: Finding, change: FindingChange, displayUnits: "us" | "metric"): string {
  const { kind, from_s, to_s, evidence, message } = finding;
  if (change !== "ended" || to_s === null) return `${kind} ${change}: ${message}`;
  const figures = keyFigures(evidence, displayUnits);
  return `${kind} ended after ${durationInWords(to_s - from_s)}${figures === "" ? "" : `: ${figures}`}`;
}

/** A line holds no more. */
const mostFigures = 3;

function keyFigures(evidence: Evidence, displayUnits: "us" | "metric"): string {
  const words = inWords(displayUnits);
  const write: Readonly<Record<string, InWords>> = {
    m: words.level,
    m3: words.volume,
    m3s: words.flow,
    s: durationInWords,
    w: (power_w) => `${Math.round(power_w)} W`,
    a: (current_a) => `${current_a.toFixed(1)} A`,
  };
  const figures = Object.entries(evidence).flatMap(([key, value]) => {
    const [, name = key, suffix = ""] = /^(.+)_(m|m3|m3s|s|w|a)$/.exec(key) ?? [];
    // Instants say little in a line that has its own time; uncertainties want the figure that they belong to.
    if (typeof value !== "number" || /^u[A-Z]|(_|^)(at|since)$/.test(name)) return [];
    return [`${spacedOut(name)} ${write[suffix]?.(value) ?? Number(value.toPrecision(3))}`];
  });
  return figures.slice(0, mostFigures).join(", ");
}

function spacedOut(name: string): string {
  return name
    .replaceAll(/([a-z0-9])([A-Z])/g, "$1 $2")
    .replaceAll("_", " ")
    .toLowerCase();
}
