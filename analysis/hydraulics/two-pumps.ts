// Two pumps that run together on one discharge: each through its own riser, then both through the common pipe. A check
// valve in each riser is taken for granted: water goes through a pump forwards or not at all.

import type { DischargeSite, PipeSection } from "../site.ts";
import type { NoDutyPoint } from "./curves-meet.ts";
import { staticHead, waterOf } from "./discharge-head.ts";
import { dischargePath } from "./discharge-path.ts";
import { type FrictionFormula, type LossByFlow, pathLoss } from "./path-loss.ts";
import type { PumpCurve } from "./pump-curve.ts";

export interface TwoPumpsDuty {
  /** Of both. */
  readonly flow_m3s: number;
  /** Where they join: the lift and what the common pipe takes. */
  readonly joinHead_m: number;
  /** In the order of the site file. */
  readonly pumps: readonly [PumpShare, PumpShare];
}

export interface PumpShare {
  readonly flow_m3s: number;
  /** Of the pump, its riser's loss included. */
  readonly head_m: number;
  /** Of the common flow. */
  readonly share: number;
  /** It runs and moves nothing: the other holds its check valve shut, and it heats the water in it. */
  readonly heldShut: boolean;
}

export type TwoPumpsMeeting =
  | { readonly duty: TwoPumpsDuty; readonly reason: null; readonly pump: null }
  /** `pump`: whose curve does not reach that far, counted from 0; null: neither lifts so high. */
  | { readonly duty: null; readonly reason: NoDutyPoint; readonly pump: 0 | 1 | null };

/**
 * What two pumps, like or unlike, move together.
 *
 * The head where they join is found by halving: the higher it is, the less either pump sends there and the less the
 * common pipe takes.
 *
 * @param curves       in the order of the discharge's risers
 * @param waterLevel_m above the inside bottom of the basin
 * @param temperature_c of the water; null: as the site gives it, else 10 °C
 * @throws {RangeError} as `meetDischarge`
 */
export function twoPumpsTogether(
  curves: readonly [PumpCurve, PumpCurve],
  discharge: DischargeSite,
  waterLevel_m: number,
  temperature_c: number | null = null,
  formula: FrictionFormula = "darcy-weisbach",
): TwoPumpsMeeting {
  const [first, second] = discharge.risers ?? [null, null];
  const loss = (site: DischargeSite) =>
    known(pathLoss(dischargePath(site), waterOf(discharge, temperature_c), formula));
  const { risers: _, ...common } = discharge;
  const commonLoss_m = loss(common);
  const sides: readonly [Side, Side] = [
    { curve: curves[0], riserLoss_m: riserLoss(first, common, loss) },
    { curve: curves[1], riserLoss_m: riserLoss(second, common, loss) },
  ];
  const lift_m = staticHead(discharge, waterLevel_m);
  let low = lift_m;
  let high = Math.max(...sides.map(({ curve }) => curve.head_m(curve.minimumFlow_m3s) ?? 0));
  if (!(high > low)) return { duty: null, reason: "head-too-low", pump: null };
  const flows = (join_m: number) => [flowInto(sides[0], join_m), flowInto(sides[1], join_m)] as const;
  while (high - low > 1e-13 * high) {
    const join_m = (low + high) / 2;
    const [one, other] = flows(join_m);
    if (lift_m + commonLoss_m(one.flow_m3s + other.flow_m3s) > join_m) low = join_m;
    else high = join_m;
  }
  const join_m = (low + high) / 2;
  const found = flows(join_m);
  const unknown = found.findIndex(({ reason }) => reason !== null);
  const reason = found[unknown === 1 ? 1 : 0].reason;
  if (reason !== null) return { duty: null, reason, pump: unknown === 1 ? 1 : 0 };
  const flow_m3s = found[0].flow_m3s + found[1].flow_m3s;
  const share = (i: 0 | 1): PumpShare => ({
    flow_m3s: found[i].flow_m3s,
    head_m: sides[i].curve.head_m(found[i].flow_m3s) ?? Number.NaN,
    share: found[i].flow_m3s / flow_m3s,
    heldShut: found[i].flow_m3s === 0,
  });
  return { duty: { flow_m3s, joinHead_m: join_m, pumps: [share(0), share(1)] }, reason: null, pump: null };
}

/** Which of two pumps, counted from 0, list no check valve of their own: through such a one at rest the other's water runs back. */
export function withoutCheckValve({ risers }: DischargeSite): readonly (0 | 1)[] {
  const has = (riser: PipeSection | null | undefined) =>
    riser?.fittings.some(({ kind }) => kind === "check-valve-swing" || kind === "check-valve-spring") ?? false;
  return ([0, 1] as const).filter((i) => !has(risers?.[i]));
}

interface Side {
  readonly curve: PumpCurve;
  readonly riserLoss_m: LossByFlow;
}

interface SideFlow {
  readonly flow_m3s: number;
  readonly reason: NoDutyPoint | null;
}

/** What the pump sends to where the two join at a head there: nothing when that is more than it has. */
function flowInto({ curve, riserLoss_m }: Side, join_m: number): SideFlow {
  const spare_m = (flow_m3s: number) => (curve.head_m(flow_m3s) ?? Number.NaN) - riserLoss_m(flow_m3s) - join_m;
  let low = curve.minimumFlow_m3s;
  let high = curve.maximumFlow_m3s;
  if (!(spare_m(low) > 0)) return { flow_m3s: low, reason: low === 0 ? null : "before-the-curve" };
  if (spare_m(high) > 0) return { flow_m3s: high, reason: "beyond-the-curve" };
  while (high - low > 1e-14 * high) {
    const middle = (low + high) / 2;
    if (spare_m(middle) > 0) low = middle;
    else high = middle;
  }
  return { flow_m3s: (low + high) / 2, reason: null };
}

/** The riser as a path of its own: no exit at its end, which the common pipe has. */
function riserLoss(
  riser: PipeSection | null,
  { further: _, ...common }: DischargeSite,
  loss: (site: DischargeSite) => LossByFlow,
): LossByFlow {
  if (riser === null) return () => 0;
  const noExit = { kind: "exit", count: 1, lossCoefficient: 0 } as const;
  return loss({ ...common, pipe: riser.pipe, fittings: [...riser.fittings, noExit] });
}

function known(loss_m: LossByFlow | null): LossByFlow {
  if (loss_m === null) throw new RangeError("twoPumpsTogether: a length of pipe has no Hazen–Williams C; give it one");
  return loss_m;
}
