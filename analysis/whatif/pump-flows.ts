// What the pumps of a candidate move at each level: as measured where it is what was measured, by the published curve
// elsewhere, a little more or less for the range.

import { ofSecondPump } from "../hydraulics/discharge-path.ts";
import { fitToMeasured } from "../hydraulics/fit-to-measured.ts";
import { type PumpCurve, pumpCurve } from "../hydraulics/pump-curve.ts";
import { wornCurve } from "../hydraulics/worn-pump.ts";
import type { DischargeSite, PumpSite, Site } from "../site.ts";
import { type FlowByLevel, flowOfTwo, type MeasuredFlows, measuredFlow, publishedFlow } from "./flow-by-level.ts";
import type { RunsOn } from "./installation.ts";
import type { Grounds, KnownInstallation, WhatIfPlan } from "./plan.ts";

/** The pump is as it was, moves more or moves less, as far as that may well be: 95 % coverage. */
export type PumpShift = -1 | 0 | 1;

export interface PumpFlows {
  flow_m3s(runs: readonly (RunsOn | null)[], level_m: number): number;
  readonly from: Grounds["flow"];
  /** Of each pump that goes by its curve; null of one that goes by what was measured. */
  readonly curves: readonly (PumpCurve | null)[];
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
  const alone = (i: number, feed: RunsOn, level_m: number) => flowOn(found[i], feed)?.(level_m) ?? 0;
  const together = flowTogether(plan, known, found, top_m, shift);
  return {
    flow_m3s(runs, level_m) {
      const i = runs.findIndex((feed) => feed !== null);
      const feed = runs[i] ?? null;
      if (feed === null) return 0;
      const other = runs[i + 1] ?? null;
      return other === null ? alone(i, feed, level_m) : together([feed, other], level_m);
    },
    from: found[0]?.from ?? "published",
    curves: found.map(({ curve, from }) => (from === "measured" ? null : curve)),
  };
}

export function pumpsOf({ pump, pumps }: Site): readonly (PumpSite | null)[] {
  return pumps ?? [pump];
}

interface OneFlow {
  readonly mains: FlowByLevel;
  readonly battery: FlowByLevel | null;
  /** By the curve; null where curve or discharge is not given. */
  readonly published: FlowByLevel | null;
  readonly curve: PumpCurve | null;
  readonly batteryCurve: PumpCurve | null;
  readonly from: Grounds["flow"];
}

function flowOn(one: OneFlow | undefined, feed: RunsOn): FlowByLevel | null {
  return (feed === "battery" ? one?.battery : one?.mains) ?? null;
}

function flowOfOne(
  plan: WhatIfPlan,
  known: KnownInstallation | null,
  pump: PumpSite | null,
  index: number,
  top_m: number,
  shift: PumpShift,
): OneFlow | { readonly missing: string } {
  const discharge = seenBy(index, plan.site.discharge);
  const points = pump?.curve ?? null;
  const measured = known?.flows[index] ?? [];
  const samePump = known !== null && same(points, pumpsOf(known.site)[index]?.curve ?? null);
  const isMeasured = samePump && measured.length > 0 && same(plan.site.discharge, known.site.discharge);
  if (!isMeasured && points === null) return { missing: "curve: expected points of flow and head, found nothing" };
  if (!isMeasured && discharge === null) return { missing: missingDischarge };
  const given = points === null ? null : pumpCurve(points);
  const fitted = samePump && given !== null ? asMeasured(given, seenBy(index, known.site.discharge), measured) : null;
  const bent = given === null ? null : wornCurve(fitted ?? given, { of: "head", left: 1 + headTolerance * shift });
  const published = bent === null || discharge === null ? null : publishedFlow(bent, discharge, top_m);
  const mains = isMeasured ? measuredFlow(measured, published, sigmas * shift) : published;
  if (mains === null) return { missing: missingDischarge };
  const from = isMeasured ? "measured" : fitted === null ? "published" : "published-as-measured";
  return {
    mains,
    published,
    curve: bent,
    from,
    ...onBattery(plan, bent, discharge, { published, mains }, index, top_m),
  };
}

const missingDischarge = "discharge: expected the pipe and its high point, found nothing";

export function seenBy(index: number, discharge: DischargeSite | null): DischargeSite | null {
  return discharge !== null && index === 1 ? ofSecondPump(discharge) : discharge;
}

/** The published curve at the speed at which it gives what was measured; null where nothing was, or no speed does. */
function asMeasured(curve: PumpCurve, discharge: DischargeSite | null, measured: MeasuredFlows): PumpCurve | null {
  const middle = measured[Math.floor(measured.length / 2)];
  if (middle === undefined || discharge === null) return null;
  const estimate = { ...middle, degreesOfFreedom: Number.POSITIVE_INFINITY };
  return fitToMeasured(curve, discharge, middle.level_m, estimate)?.curve ?? null;
}

function onBattery(
  { onBattery: { pump, speed }, site }: WhatIfPlan,
  curve: PumpCurve | null,
  discharge: DischargeSite | null,
  { published, mains }: { readonly published: FlowByLevel | null; readonly mains: FlowByLevel },
  index: number,
  top_m: number,
): Pick<OneFlow, "battery" | "batteryCurve"> {
  if (site.backup?.capacity_ah == null || pump !== index) return { battery: null, batteryCurve: null };
  const stated_m3s = site.backup.pumpFlow_m3s;
  if (stated_m3s !== null) {
    return { battery: () => stated_m3s, batteryCurve: null };
  }
  if (speed === 1 || curve === null || discharge === null) return { battery: mains, batteryCurve: curve };
  const batteryCurve = wornCurve(curve, { of: "speed", left: speed });
  const slower = publishedFlow(batteryCurve, discharge, top_m);
  // What the pump was measured to move against its curve at full speed, it moves so much less or more at the lower one.
  const battery = (level_m: number) => {
    const full = published?.(level_m) ?? 0;
    return slower(level_m) * (full > 0 ? mains(level_m) / full : 1);
  };
  return { battery, batteryCurve };
}

/** Both pumps: as measured, else by their curves on the common pipe, else each as if it ran alone. */
function flowTogether(
  { site: { discharge } }: WhatIfPlan,
  known: KnownInstallation | null,
  found: readonly OneFlow[],
  top_m: number,
  shift: PumpShift,
) {
  const both = known !== null && found.every(({ from }) => from === "measured") ? known.together : [];
  const tables = new Map<string, (level_m: number) => number>();

  function tableOf(feeds: readonly [RunsOn, RunsOn]): (level_m: number) => number {
    if (both.length > 0 && !feeds.includes("battery")) return measuredFlow(both, null, sigmas * shift);
    const singles = (level_m: number) => feeds.map((feed, i) => flowOn(found[i], feed)?.(level_m) ?? 0);
    const [first, second] = feeds.map((feed, i) => found[i]?.[feed === "battery" ? "batteryCurve" : "curve"] ?? null);
    if (!first || !second || discharge === null)
      return (level_m) => singles(level_m).reduce((sum, one) => sum + one, 0);
    return flowOfTwo([first, second], discharge, top_m, (level_m) => Math.max(...singles(level_m)));
  }

  return (feeds: readonly [RunsOn, RunsOn], level_m: number): number => {
    const table = tables.get(feeds.join()) ?? tableOf(feeds);
    tables.set(feeds.join(), table);
    return table(level_m);
  };
}

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

function named(count: number, index: number, missing: string): string {
  return missing === missingDischarge ? missing : `${count > 1 ? `pumps[${index}]` : "pump"}.${missing}`;
}
