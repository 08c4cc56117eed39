// Checks across several keys of one group. They also run when a key of the group is already known to be wrong, so
// that every problem is reported at once; such a key then counts as not given.

import type * as z from "zod";
import { fromSi, type Unit } from "../../analysis/units/unit.ts";

/** Pass as the second argument of `superRefine`. */
export const evenIfIncomplete = { when: () => true };

type Context = z.core.$RefinementCtx;
type Path = readonly PropertyKey[];

/** Reports a problem at a key of the group. */
export function report(context: Context, path: Path, message: string): void {
  context.addIssue({ code: "custom", path: [...path], message });
}

/** What stands at a path below the group, whatever it is. */
export function at(group: unknown, ...path: Path): unknown {
  return path.reduce<unknown>((value, key) => {
    if (typeof value !== "object" || value === null) return undefined;
    return Object.getOwnPropertyDescriptor(value, key)?.value;
  }, group);
}

/** Whether anything stands at a path. */
export function has(group: unknown, ...path: Path): boolean {
  return at(group, ...path) !== undefined;
}

/** The number at a path; null when it is not given, or not the number it should be. */
export function numberAt(group: unknown, ...path: Path): number | null {
  const value = at(group, ...path);
  return typeof value === "number" ? value : null;
}

/** How many entries the list at a path has; 0 when there is no list. */
export function lengthAt(group: unknown, ...path: Path): number {
  const value = at(group, ...path);
  return Array.isArray(value) ? value.length : 0;
}

// Quantities as they can stand in a message, in both systems of units.
export const bothLengths = inBoth("mm", "in");
export const bothHeads = inBoth("m", "ft");
export const bothFlows = inBoth("L/min", "gpm");
export const bothVolumes = inBoth("L", "gal");

function inBoth(metric: Unit, us: Unit): (si: number) => string {
  return (si) => `${round(fromSi(si, metric))} ${metric} (${round(fromSi(si, us))} ${us})`;
}

function round(value: number): number {
  return Number(value.toPrecision(4));
}
