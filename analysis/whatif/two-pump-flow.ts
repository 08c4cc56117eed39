// What two pumps move into one discharge at once: the head where they join is the same for both.

import { staticHead, waterOf } from "../hydraulics/discharge-head.ts";
import { dischargePath, ofSecondPump } from "../hydraulics/discharge-path.ts";
import { darcyWeisbach, type LossByFlow } from "../hydraulics/path-loss.ts";
import { type PumpCurve, pumpCurve } from "../hydraulics/pump-curve.ts";
import type { CurvePoint, DischargeSite } from "../site.ts";

export type FlowOfTwo = readonly [first_m3s: number, second_m3s: number];

/** So fine a table suffices: the flow of two bends as little over it as that of one. */
const step_m = 0.1;
const halvings = 34;

/** @returns flow of each by level, straight between the rows of a table; at the end of a curve, what it ends with */
export function flowOfTwo(
  curves: readonly [readonly CurvePoint[], readonly CurvePoint[]],
  discharge: DischargeSite,
  top_m: number,
): (level_m: number) => FlowOfTwo {
  const pumps = curves.map(pumpCurve);
  const water_c = waterOf(discharge);
  const risers = [discharge, ofSecondPump(discharge)].map((seen) =>
    darcyWeisbach(
      dischargePath(seen).filter(({ role }) => role === "riser"),
      water_c,
    ),
  );
  const common = darcyWeisbach(
    dischargePath(discharge).filter(({ role }) => role !== "riser"),
    water_c,
  );
  const given = (head_m: number) =>
    pumps.map((pump, i) => flowAgainst(pump, risers[i] ?? common, head_m)) as unknown as FlowOfTwo;
  const highest_m = Math.max(...pumps.map((pump) => pump.head_m(pump.minimumFlow_m3s) ?? 0));
  const rows = Array.from({ length: Math.ceil(top_m / step_m) + 1 }, (_, i) => {
    const lift_m = staticHead(discharge, i * step_m);
    let [low, high] = [lift_m, Math.max(lift_m, highest_m)];
    for (let n = 0; n < halvings; n += 1) {
      const head_m = (low + high) / 2;
      const [first, second] = given(head_m);
      if (lift_m + common(first + second) > head_m) low = head_m;
      else high = head_m;
    }
    return given(high);
  });
  return (level_m) => {
    const place = Math.max(0, Math.min(rows.length - 1, level_m / step_m));
    const i = Math.min(rows.length - 2, Math.floor(place));
    const [below, above] = [rows[i] as FlowOfTwo, rows[i + 1] as FlowOfTwo];
    return [0, 1].map(
      (p) => (below[p] as number) + (place - i) * ((above[p] as number) - (below[p] as number)),
    ) as unknown as FlowOfTwo;
  };
}

/** What a pump moves against a head at the end of its riser. */
function flowAgainst(pump: PumpCurve, riser: LossByFlow, head_m: number): number {
  const spare_m = (flow_m3s: number) => (pump.head_m(flow_m3s) ?? 0) - riser(flow_m3s) - head_m;
  let [low, high] = [pump.minimumFlow_m3s, pump.maximumFlow_m3s];
  if (!(spare_m(low) > 0)) return 0;
  if (spare_m(high) > 0) return high;
  for (let n = 0; n < halvings; n += 1) {
    const middle = (low + high) / 2;
    if (spare_m(middle) > 0) low = middle;
    else high = middle;
  }
  return low;
}
