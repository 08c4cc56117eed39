// Every duty point of a site in one list: at both ends of the drawdown, of each pump and of both together, as given, worn,
// and with the pipe partly clogged.

import type { CurvePoint, DischargeSite, Site } from "../site.ts";
import type { NoDutyPoint } from "./curves-meet.ts";
import { dischargeHead } from "./discharge-head.ts";
import { ofSecondPump } from "./discharge-path.ts";
import { meetDischarge } from "./duty-point.ts";
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

type Meeting = Pick<DutyRow, "pumps" | "flow_m3s" | "head_m" | "velocity_ms" | "reason">;

function meetings(curves: readonly (PumpCurve | null)[], discharge: DischargeSite, level_m: number): Meeting[] {
  const velocity = (flow_m3s: number) => dischargeHead(discharge, flow_m3s, level_m).velocity_ms;
  const [first, second] = curves;
  const alone = (pumps: "first" | "second", curve: PumpCurve | null | undefined, where: DischargeSite): Meeting[] => {
    if (!curve) return [];
    const { dutyPoint, reason } = meetDischarge(curve, where, level_m);
    return [row(pumps, dutyPoint?.flow_m3s ?? null, dutyPoint?.head_m ?? null, reason)];
  };
  const row = (pumps: DutyRow["pumps"], flow_m3s: number | null, head_m: number | null, reason: NoDutyPoint | null) => {
    return { pumps, flow_m3s, head_m, velocity_ms: flow_m3s === null ? null : velocity(flow_m3s), reason };
  };
  const rows = [...alone("first", first, discharge), ...alone("second", second, ofSecondPump(discharge))];
  if (!first || !second) return rows;
  const { duty, reason } = twoPumpsTogether([first, second], discharge, level_m);
  return [...rows, row("both", duty?.flow_m3s ?? null, duty?.joinHead_m ?? null, reason)];
}

function curveOf(points: readonly CurvePoint[] | null): PumpCurve | null {
  return points === null ? null : pumpCurve(points);
}
