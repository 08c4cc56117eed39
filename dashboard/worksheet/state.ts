// What the worksheet holds while the page is open: what was measured, what is tried out, the hand test, and what comes of it.

import { computed, signal } from "@preact/signals";
import type { RainAnswer, SizingInputs } from "../../daemon/server/api-types.ts";
import { site } from "../live.ts";
import { units } from "../preferences.ts";
import type { FieldKey } from "./fields.ts";
import { type Learned, learnFrom } from "./learned.ts";
import { type Sheet, sheetOf } from "./sheet.ts";
import { type SiteOfSheet, siteOf } from "./site-of-sheet.ts";

export const stepNames = ["Measured", "Basin", "Pipe", "Pump", "Backup", "Result"] as const;
export type StepName = (typeof stepNames)[number];

export const step = signal<StepName>("Measured");
/** What the daemon has measured; null until it has answered. */
export const measured = signal<SizingInputs | null>(null);
/** The rain that was logged; null: none; undefined: not here yet, which takes a while with a long record. */
export const rain = signal<RainAnswer["stretches"] | undefined>(undefined);
/** Reckon with the hand test although there is a record. */
export const byHand = signal(false);

/** What the record teaches; null without one. */
export const learned = computed<Learned | null>(() => {
  const [record, info] = [measured.value, site.value];
  return record !== null && info !== null && record.inflow.length > 0
    ? learnFrom(record, rain.value ?? null, info.site)
    : null;
});

const changed = signal<Sheet | null>(null);

export const sheet = computed<Sheet | null>(() => {
  const info = site.value;
  return changed.value ?? (info && sheetOf(info.site));
});
/** The site file's installation as the sheet writes it: what was measured was measured there. */
export const present = computed<SiteOfSheet | null>(() => {
  const info = site.value;
  return info && siteOf(sheetOf(info.site), info.site, units.value);
});
export const isChanged = computed(() => changed.value !== null);

export const tried = computed<SiteOfSheet | null>(() => {
  const [now, info] = [sheet.value, site.value];
  return now && info && siteOf(now, info.site, units.value);
});

export function change(part: Partial<Sheet>): void {
  const now = sheet.peek();
  if (now) changed.value = { ...now, ...part };
}

export function setNumber(key: FieldKey, value: number | null): void {
  const now = sheet.peek();
  if (now && (now.numbers[key] ?? null) !== value) change({ numbers: { ...now.numbers, [key]: value } });
}

/** Back to the site file. */
export function forgetChanges(): void {
  changed.value = null;
}
