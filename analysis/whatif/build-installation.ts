// From a candidate, as a person describes it, to an installation that can be replayed; or to what is missing for that.

import { dutyPoint } from "../hydraulics/duty-point.ts";
import { pumpCurve } from "../hydraulics/pump-curve.ts";
import { inputPower } from "../hydraulics/pump-power.ts";
import type { Site } from "../site.ts";
import { energySource } from "./energy-source.ts";
import type { EnergySource, ReplayInstallation, ReplayPump } from "./installation.ts";
import { withoutDuty } from "./no-duty.ts";
import type { Grounds, KnownInstallation, WhatIfPlan } from "./plan.ts";
import { type PumpShift, pumpFlows, pumpsOf, seenBy } from "./pump-flows.ts";

export type Built =
  | { readonly ok: true; readonly installation: ReplayInstallation; readonly grounds: Grounds }
  | { readonly ok: false; readonly missing: readonly string[] };

/** How long it takes what runs back to do so; common practice, no source. It shifts a start by seconds. */
const runsBackIn_s = 3;
/** Above the highest float, of a basin whose rim is not given. */
const unknownRim_m = 2;

/**
 * @param known what a recording has taught of the installation that is there; null: nothing
 * @param shift for the range: the pumps move as much more or less as may well be
 */
export function buildInstallation(plan: WhatIfPlan, known: KnownInstallation | null, shift: PumpShift = 0): Built {
  const { site } = plan;
  const { basin } = site;
  const floats = floatsOf(site, known);
  if (floats === null) return { ok: false, missing: missingFloats(site) };
  const overflowLevel_m = basin.overflowLevel_m ?? basin.depth_m;
  const top_m = overflowLevel_m ?? floats.start_m + unknownRim_m;
  const flows = pumpFlows(plan, known, top_m, shift);
  if ("missing" in flows) return { ok: false, missing: flows.missing };
  const battery = batteryOf(plan, known);
  if (battery !== null && "missing" in battery) return { ok: false, missing: [battery.missing] };
  const returned_m3 = known?.returned_m3 ?? 0;
  const spinUp_s = known?.spinUp_s ?? 0;
  const [first, second] = pumpsOf(site).map((_, i) => replayPump(plan, known, floats, i, battery));
  if (first === undefined) return { ok: false, missing: ["pump: expected one, found nothing"] };
  const recorded_m = known === null ? null : floatsOf(known.site, known);
  return {
    ok: true,
    installation: {
      basin: basin.geometry,
      highLevel_m: basin.highLevel_m,
      overflowLevel_m,
      pumps: second === undefined ? [first] : [first, second],
      takesTurns: second !== undefined && (plan.takesTurns ?? known?.takesTurns ?? false),
      flow_m3s: flows.flow_m3s,
      battery,
      returned: { volume_m3: returned_m3, duration_s: runsBackIn_s },
      spinUp_s,
      groundHead:
        plan.groundHead_m === null ? null : { nothing_m: plan.groundHead_m, recorded_m: middle(recorded_m ?? floats) },
    },
    grounds: {
      flow: flows.from,
      noDuty: shift === 0 ? withoutDuty(site, flows.curves, [floats.stop_m, top_m]) : [],
      startFrom: floats.startFrom,
      stopFrom: floats.stopFrom,
      start_m: first.startLevel_m,
      stop_m: first.stopLevel_m,
      returned_m3,
      spinUp_s,
      batteryRun_s: battery?.runTime_s ?? null,
      allowedStartsPerHour: pumpsOf(site)[0]?.maxStartsPerHour ?? null,
      noOverflowLevel: overflowLevel_m === null,
    },
  };
}

interface Floats {
  readonly start_m: number;
  readonly stop_m: number;
  readonly startFrom: "measured" | "given";
  readonly stopFrom: "measured" | "given";
}

/** Each where it was measured, unless the candidate has it elsewhere than the site file of the recording says. */
function floatsOf(site: Site, known: KnownInstallation | null): Floats | null {
  const [start_m, stop_m] = givenFloats(site);
  const there = known?.floats ?? null;
  const [startThere_m, stopThere_m] = known === null ? [null, null] : givenFloats(known.site);
  const isThere = there !== null && start_m === startThere_m;
  const staysThere = there !== null && stop_m === stopThere_m;
  const floats = {
    start_m: isThere ? there.start_m : start_m,
    stop_m: staysThere ? there.stop_m : stop_m,
  };
  if (floats.start_m === null || floats.stop_m === null) return null;
  const from = (measured: boolean) => (measured ? ("measured" as const) : ("given" as const));
  const { start_m: closes_m, stop_m: opens_m } = floats;
  return { start_m: closes_m, stop_m: opens_m, startFrom: from(isThere), stopFrom: from(staysThere) };
}

function givenFloats({ basin, pumps }: Site): readonly [start_m: number | null, stop_m: number | null] {
  const own = pumps?.[0];
  return [own?.startLevel_m ?? basin.startLevel_m, own?.stopLevel_m ?? basin.stopLevel_m];
}

function missingFloats({ basin }: Site): string[] {
  const lacks = (key: string) => `basin.${key}: expected the level, found nothing, and no recorded run shows it`;
  return [
    ...(basin.startLevel_m === null ? [lacks("start_level")] : []),
    ...(basin.stopLevel_m === null ? [lacks("stop_level")] : []),
  ];
}

function replayPump(
  { site, onBattery }: WhatIfPlan,
  known: KnownInstallation | null,
  floats: Floats,
  index: number,
  battery: EnergySource | null,
): ReplayPump {
  const pump = pumpsOf(site)[index] ?? null;
  const onDuty = index === 0;
  const feeds = battery !== null && onBattery.pump === index;
  return {
    name: pump?.name ?? null,
    startLevel_m: onDuty ? floats.start_m : (pump?.startLevel_m ?? floats.start_m),
    stopLevel_m: onDuty ? floats.stop_m : (pump?.stopLevel_m ?? floats.stop_m),
    supply: !feeds ? "mains" : onBattery.only ? "battery" : "either",
    power_w: powerOf(site, known, index),
  };
}

/** As it was measured on the same pump, else as the site file states it or its efficiencies; null where nothing tells. */
function powerOf(site: Site, known: KnownInstallation | null, index: number): number | null {
  const pump = pumpsOf(site)[index] ?? null;
  const there = known === null ? null : (pumpsOf(known.site)[index] ?? null);
  const isThere = known !== null && index === 0 && JSON.stringify(pump?.curve) === JSON.stringify(there?.curve);
  const discharge = seenBy(index, site.discharge);
  const { startLevel_m, stopLevel_m } = site.basin;
  const duty =
    pump?.curve == null || discharge === null
      ? null
      : dutyPoint(pumpCurve(pump.curve), discharge, ((startLevel_m ?? 0) + (stopLevel_m ?? 0)) / 2);
  return inputPower(pump, duty, { measured_w: isThere ? known.power_w : null })?.power_w ?? null;
}

function batteryOf(
  plan: WhatIfPlan,
  known: KnownInstallation | null,
): EnergySource | { readonly missing: string } | null {
  const { backup } = plan.site;
  if (backup?.capacity_ah == null) return null;
  const { pump, speed, charges_s } = plan.onBattery;
  const power_w = powerOf(plan.site, known, pump);
  // By the laws of affinity a slower pump asks for the cube of its speed.
  const drawn_w = backup.pumpPower_w ?? (power_w === null ? null : power_w * speed ** 3);
  if (drawn_w === null) {
    return { missing: "backup.pump_power: expected what the pump on the battery draws, found nothing" };
  }
  return energySource(backup, drawn_w, charges_s);
}

function middle({ start_m, stop_m }: { readonly start_m: number; readonly stop_m: number }): number {
  return (start_m + stop_m) / 2;
}
