// Every duty point of a site in one list: at both ends of the drawdown, of each pump and of both together, as given, worn,
// and with the pipe partly clogged.

import type { CurvePoint, DischargeSite, Site } from "../site.ts";
import type { NoDutyPoint } from "./curves-meet.ts";
import { dischargeHead } from "./discharge-head.ts";
import { ofSecondPump } from "./discharge-path.ts";
import { meetDischarge } from "./duty-point.ts";
import { headWorksheet } from "./head-worksheet.ts";
import { headTolerance } from "./lost-head.ts";
import { type PumpCurve, pumpCurve } from "./pump-curve.ts";
import { twoPumpsTogether } from "./two-pumps.ts";
import { cloggedDischarge, type Wear, wornCurve } from "./worn-pump.ts";

export interface DutyRow {
  readonly pumps: "first" | "second" | "both";
  readonly condition: "as-given" | "worn" | "clogged";
  readonly at: "start" | "stop";
  readonly level_m: number;
  /** Null where the curves do not meet; `reason` says why. */
  readonly flow_m3s: number | null;
  /**
   * Standard uncertainty: that of the friction, and what pumps are off their published curve. Levels and lengths count as
   * exact. Null where the flow is not known, or so near shut-off that it says nothing.
   */
  readonly uFlow_m3s: number | null;
  /** Of the pump; of both, where they join. */
  readonly head_m: number | null;
  /** In the pipe that the site calls `pipe`. */
  readonly velocity_ms: number | null;
  readonly reason: NoDutyPoint | null;
}

export interface DutyConditions {
  /** What is asked of worn pumps; null: nothing. */
  readonly wear: Wear | null;
  /** Share of the bore's area that is closed; null: none. */
  readonly closedShare: number | null;
}

/** Worth looking at in any pump of some years; common practice, no source. */
export const usualConditions: DutyConditions = { wear: { of: "flow", left: 0.8 }, closedShare: 0.3 };

/**
 * @returns none without a discharge, a published curve and a start or a stop level
 * @throws {RangeError} as `dischargeHead`
 */
export function dutyPoints(site: Site, conditions: DutyConditions = usualConditions): DutyRow[] {
  const { discharge, basin } = site;
  if (discharge === null) return [];
  const curves = (site.pumps ?? [site.pump]).map((pump) => curveOf(pump?.curve ?? null));
  const { wear, closedShare } = conditions;
  const ends = [
    ["start", basin.startLevel_m],
    ["stop", basin.stopLevel_m],
  ] as const;
  return ends.flatMap(([at, level_m]) => {
    if (level_m === null) return [];
    const rows = (condition: DutyRow["condition"], each: readonly (PumpCurve | null)[], where: DischargeSite) =>
      meetings(each, where, level_m).map((row): DutyRow => ({ ...row, condition, at, level_m }));
    const worn = wear && curves.map((curve) => curve && wornCurve(curve, wear));
    return [
      ...rows("as-given", curves, discharge),
      ...(worn ? rows("worn", worn, discharge) : []),
      ...(closedShare === null ? [] : rows("clogged", curves, cloggedDischarge(discharge, closedShare))),
    ];
  });
}

type Meeting = Pick<DutyRow, "pumps" | "flow_m3s" | "uFlow_m3s" | "head_m" | "velocity_ms" | "reason">;

function meetings(curves: readonly (PumpCurve | null)[], discharge: DischargeSite, level_m: number): Meeting[] {
  const [first, second] = curves;
  const one = (curve: PumpCurve) => (where: DischargeSite) => {
    const { dutyPoint, reason } = meetDischarge(curve, where, level_m);
    return { flow_m3s: dutyPoint?.flow_m3s ?? null, head_m: dutyPoint?.head_m ?? null, reason };
  };
  return [
    ...(first ? [meeting("first", one(first), discharge, level_m)] : []),
    ...(second ? [meeting("second", one(second), ofSecondPump(discharge), level_m)] : []),
    ...(first && second ? [meeting("both", together([first, second], level_m), discharge, level_m)] : []),
  ];
}

type Meet = (where: DischargeSite) => Pick<DutyRow, "flow_m3s" | "head_m" | "reason">;

function together(curves: readonly [PumpCurve, PumpCurve], level_m: number): Meet {
  return (where) => {
    const { duty, reason } = twoPumpsTogether(curves, where, level_m);
    return { flow_m3s: duty?.flow_m3s ?? null, head_m: duty?.joinHead_m ?? null, reason };
  };
}

/** So much more lift, to see how much flow a head is worth. */
const step_m = 0.02;

function meeting(pumps: DutyRow["pumps"], meet: Meet, discharge: DischargeSite, level_m: number): Meeting {
  const found = meet(discharge);
  const { flow_m3s, head_m } = found;
  if (flow_m3s === null || head_m === null) return { pumps, ...found, uFlow_m3s: null, velocity_ms: null };
  const { velocity_ms } = dischargeHead(discharge, flow_m3s, level_m);
  const higher = meet({ ...discharge, highPoint_m: discharge.highPoint_m + step_m }).flow_m3s;
  const { uFrictionHead_m } = headWorksheet(discharge, flow_m3s, level_m);
  const uHead_m = Math.hypot(uFrictionHead_m, (headTolerance / Math.sqrt(3)) * head_m);
  const uFlow_m3s = higher === null ? null : (uHead_m * (flow_m3s - higher)) / step_m;
  return { pumps, ...found, uFlow_m3s, velocity_ms };
}

function curveOf(points: readonly CurvePoint[] | null): PumpCurve | null {
  return points === null ? null : pumpCurve(points);
}
