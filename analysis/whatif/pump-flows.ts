// What the pumps of a candidate move at each level: as measured where it is what was measured, by the published curve
// elsewhere, a little more or less for the range.

import { dischargeHead } from "../hydraulics/discharge-head.ts";
import { pumpCurve } from "../hydraulics/pump-curve.ts";
import type { CurvePoint, DischargeSite, PumpSite, Site } from "../site.ts";
import { bentCurve, type FlowByLevel, type MeasuredFlows, measuredFlow, publishedFlow } from "./flow-by-level.ts";
import type { RunsOn } from "./installation.ts";
import type { Grounds, KnownInstallation, WhatIfPlan } from "./plan.ts";
import { flowOfTwo } from "./two-pump-flow.ts";

/** The pump is as it was, moves more or moves less, as far as that may well be: 95 % coverage. */
export type PumpShift = -1 | 0 | 1;

export interface PumpFlows {
  flow_m3s(runs: readonly (RunsOn | null)[], level_m: number): number;
  readonly from: Grounds["flow"];
  readonly beyondCurve: boolean;
  readonly tooLittleHead: boolean;
}

/** @see ISO 9906:2012, table 8: tolerance of the head of grade 3B, the widest, taken as the interval's half-width */
const headTolerance = 0.07;
const sigmas = 2;

/** @returns what is missing, as keys of the site file with what is expected, where nothing tells what a pump moves */
export function pumpFlows(
  plan: WhatIfPlan,
  known: KnownInstallation | null,
  top_m: number,
  shift: PumpShift,
): PumpFlows | { readonly missing: readonly string[] } {
  const pumps = pumpsOf(plan.site);
  const each = pumps.map((pump, i) => flowOfOne(plan, known, pump, i, top_m, shift));
  const missing = each.flatMap((one, i) => ("missing" in one ? [named(pumps.length, i, one.missing)] : []));
  const found = each.flatMap((one) => ("missing" in one ? [] : [one]));
  if (missing.length > 0) return { missing };
  const alone = (i: number, feed: RunsOn, level_m: number) => {
    const one = found[i];
    return (feed === "battery" ? one?.battery : one?.mains)?.at_m3s(level_m) ?? 0;
  };
  const tables = new Map<string, (level_m: number) => readonly number[]>();
  const together = (feeds: readonly RunsOn[], level_m: number): number => {
    const both = known !== null && found.every(({ from }) => from === "measured") ? known.together : [];
    if (both.length > 0 && feeds.every((feed) => feed === "mains")) {
      return measuredFlow(both, null, sigmas * shift).at_m3s(level_m);
    }
    const singles = feeds.map((feed, i) => alone(i, feed, level_m));
    const curves = feeds.map((feed, i) => (feed === "battery" ? found[i]?.batteryCurve : found[i]?.curve) ?? null);
    const { discharge } = plan.site;
    const [first, second] = curves;
    if (!first || !second || discharge === null) return singles.reduce((sum, flow) => sum + flow, 0);
    const key = feeds.join();
    const table = tables.get(key) ?? flowOfTwo([first, second], discharge, top_m);
    tables.set(key, table);
    const shared = table(level_m);
    return singles.reduce((sum, single, i) => {
      const published = found[i]?.published?.at_m3s(level_m) ?? single;
      return sum + (shared[i] ?? 0) * (published > 0 ? Math.min(1.5, single / published) : 1);
    }, 0);
  };
  return {
    flow_m3s(runs, level_m) {
      const feeds = runs.filter((feed) => feed !== null);
      if (feeds.length > 1) return together(feeds, level_m);
      const i = runs.findIndex((feed) => feed !== null);
      const feed = runs[i] ?? null;
      return feed === null ? 0 : alone(i, feed, level_m);
    },
    from: found[0]?.from ?? "published",
    beyondCurve: found.some(({ mains }) => mains.beyondCurve),
    tooLittleHead: found.some(({ mains }) => mains.tooLittleHead),
  };
}

export function pumpsOf({ pump, pumps }: Site): readonly (PumpSite | null)[] {
  return pumps ?? [pump];
}

interface OneFlow {
  readonly mains: FlowByLevel;
  readonly battery: FlowByLevel | null;
  readonly published: FlowByLevel | null;
  readonly curve: readonly CurvePoint[] | null;
  readonly batteryCurve: readonly CurvePoint[] | null;
  readonly from: Grounds["flow"];
}

function flowOfOne(
  plan: WhatIfPlan,
  known: KnownInstallation | null,
  pump: PumpSite | null,
  index: number,
  top_m: number,
  shift: PumpShift,
): OneFlow | { readonly missing: string } {
  const { discharge } = plan.site;
  const points = pump?.curve ?? null;
  const measured = known?.flows[index] ?? [];
  const samePump = known !== null && same(points, pumpsOf(known.site)[index]?.curve ?? null);
  const isMeasured = samePump && measured.length > 0 && same(discharge, known.site.discharge);
  const own = points !== null && discharge !== null ? { points, discharge } : null;
  if (own === null && !isMeasured) {
    return { missing: points === null ? "curve: expected points of flow and head, found nothing" : missingDischarge };
  }
  const lowered =
    own !== null && samePump && !isMeasured ? measuredHeadShare(own.points, known.site.discharge, measured) : null;
  const headShare = (lowered ?? 1) * (isMeasured ? 1 : 1 + headTolerance * shift);
  const curve = own === null ? null : bentCurve(own.points, headShare);
  const published = curve === null || own === null ? null : publishedFlow(curve, own.discharge, top_m);
  const mains = isMeasured ? measuredFlow(measured, published, sigmas * shift) : published;
  if (mains === null) return { missing: missingDischarge };
  const from = isMeasured ? "measured" : lowered === null ? "published" : "published-as-measured";
  return { mains, published, curve, from, ...onBattery(plan, curve, published, mains, index, top_m) };
}

const missingDischarge = "discharge: expected the pipe and its high point, found nothing";

function onBattery(
  { onBattery: { pump, speed }, site }: WhatIfPlan,
  curve: readonly CurvePoint[] | null,
  published: FlowByLevel | null,
  mains: FlowByLevel,
  index: number,
  top_m: number,
): Pick<OneFlow, "battery" | "batteryCurve"> {
  if (site.backup?.capacity_ah == null || pump !== index) return { battery: null, batteryCurve: null };
  const stated_m3s = site.backup.pumpFlow_m3s;
  if (stated_m3s !== null) {
    return { battery: { at_m3s: () => stated_m3s, beyondCurve: false, tooLittleHead: false }, batteryCurve: null };
  }
  if (speed === 1 || curve === null || site.discharge === null) return { battery: mains, batteryCurve: curve };
  const batteryCurve = bentCurve(curve, 1, speed);
  const slower = publishedFlow(batteryCurve, site.discharge, top_m);
  // What the pump was measured to move against its curve at full speed, it moves so much less or more at the lower one.
  const at_m3s = (level_m: number) => {
    const full = published?.at_m3s(level_m) ?? 0;
    return slower.at_m3s(level_m) * (full > 0 ? mains.at_m3s(level_m) / full : 1);
  };
  return { battery: { ...slower, at_m3s }, batteryCurve };
}

/** The head that the discharge asks for at the flow that was measured, over what the curve gives there; null off the curve. */
function measuredHeadShare(
  points: readonly CurvePoint[],
  discharge: DischargeSite | null,
  measured: MeasuredFlows,
): number | null {
  const middle = measured[Math.floor(measured.length / 2)];
  if (middle === undefined || discharge === null) return null;
  const published_m = pumpCurve(points).head_m(middle.flow_m3s);
  if (published_m === null || !(published_m > 0)) return null;
  return dischargeHead(discharge, middle.flow_m3s, middle.level_m).totalDynamicHead_m / published_m;
}

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

function named(count: number, index: number, missing: string): string {
  return missing === missingDischarge ? missing : `${count > 1 ? `pumps[${index}]` : "pump"}.${missing}`;
}
