// What this reader chose on this device: units, light or dark, and a name. Kept in the browser; the site's own units come first
// until a choice is made.

import { computed, effect, signal } from "@preact/signals";
import type { UnitSystem } from "./format.ts";
import { site } from "./live.ts";

/** Who acts on alarms from this device; empty: not said yet. */
export const myName = signal((recall("name") ?? "").trim());

export type Theme = "auto" | "light" | "dark";

const chosenUnits = signal<UnitSystem | null>(oneOf(recall("units"), ["us", "metric"]));
export const theme = signal<Theme>(oneOf(recall("theme"), ["light", "dark"]) ?? "auto");
/** Counts changes between light and dark, whoever made them, for what is drawn on a canvas. */
export const repaint = signal(0);

/** Where no site says which: many basins stand together. */
export const customaryUnits = signal<UnitSystem>("metric");
export const units = computed<UnitSystem>(
  () => chosenUnits.value ?? site.value?.site.displayUnits ?? customaryUnits.value,
);

export function chooseUnits(system: UnitSystem): void {
  chosenUnits.value = system;
  keep("units", system);
}

export function chooseName(name: string): void {
  myName.value = name.trim();
  keep("name", myName.value);
}

/** Auto, light, dark, and round again. */
export function nextTheme(): void {
  const next: Readonly<Record<Theme, Theme>> = { auto: "light", light: "dark", dark: "auto" };
  theme.value = next[theme.value];
  keep("theme", theme.value);
}

export function applyTheme(): void {
  effect(() => {
    if (theme.value === "auto") delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = theme.value;
    repaint.value = repaint.peek() + 1;
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    repaint.value = repaint.peek() + 1;
  });
}

function oneOf<Choice extends string>(text: string | null, choices: readonly Choice[]): Choice | null {
  return choices.find((choice) => choice === text) ?? null;
}

// A browser may forbid storage; the choice then lasts as long as the page.
function recall(key: string): string | null {
  try {
    return localStorage.getItem(`undercroft.${key}`);
  } catch {
    return null;
  }
}

function keep(key: string, value: string): void {
  try {
    localStorage.setItem(`undercroft.${key}`, value);
  } catch {}
}
