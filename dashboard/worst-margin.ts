// What the pump moves against the highest ten minutes on record and against its published curve, and where its float trips, from the report's summary:
// asked for at first, then only when a finding changes or hours have passed in the basin.

import { signal } from "@preact/signals";
import type { ReportFloatTrips, ReportPumpCurve } from "../analysis/report/report.ts";
import { api } from "./api.ts";
import { lastFinding, live } from "./live.ts";
import { createPacer } from "./pacer.ts";

/** Null until the report has been read, and while it does not know. */
export const worstMargin = signal<number | null>(null);
export const pumpOnCurve = signal<ReportPumpCurve | null>(null);
export const floatTrips = signal<ReportFloatTrips | null>(null);

/** A peak that makes no finding shows after this much of the basin's time. */
const refresh_s = 6 * 3600;

const pacer = createPacer(
  async () => {
    const { sizing, pump, floats } = await api.summary();
    worstMargin.value = sizing.margin;
    pumpOnCurve.value = pump ?? null;
    floatTrips.value = floats ?? null;
  },
  { shortestPause_ms: 10_000, shareOfTime: 0.02 },
);
let askedAt: { readonly finding: typeof lastFinding.value; readonly period: number } | null = null;

/** Call in an effect: reads the signals that make the figure old. */
export function keepWorstMargin(): void {
  if (live.value === null) return;
  const finding = lastFinding.value;
  const period = Math.floor(live.value.now_s / refresh_s);
  if (askedAt?.finding === finding && askedAt.period === period) return;
  askedAt = { finding, period };
  pacer.want();
}
