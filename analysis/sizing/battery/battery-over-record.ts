// A battery run over the recorded inflow, stretch by stretch: from which moment on would it have lasted shortest? Floats
// and levels minute by minute are the replay's (analysis/whatif); here the pump runs its share of each stretch.

import type { InflowStretch } from "../../analyzer.ts";

export interface BatteryOverRecord {
  /** The mains fail here. */
  readonly from_s: number;
  /** Null: from every moment on it lasts to the end of the record. */
  readonly lasts_s: number | null;
}

/**
 * @param inflow    in order of time; a gap counts like the stretch before it
 * @param perSecond share of the charge that may be drawn, drawn in a second at an inflow; above 0
 * @returns the worst moment among the beginnings of stretches; null without a stretch
 */
export function batteryOverRecord(
  inflow: readonly InflowStretch[],
  perSecond: (inflow_m3s: number) => number,
): BatteryOverRecord | null {
  const first = inflow[0];
  if (first === undefined) return null;
  const steps = inflow.map((stretch, i) => {
    const to_s = inflow[i + 1]?.from_s ?? stretch.to_s;
    return { from_s: stretch.from_s, to_s, rate: perSecond(stretch.inflow_m3s) };
  });
  let worst: { from_s: number; lasts_s: number } | null = null;
  let [end, drawn] = [0, 0]; // what the whole steps from the beginning up to `end` draw
  for (const [begin, { from_s, to_s, rate }] of steps.entries()) {
    for (let step = steps[end]; step !== undefined; step = steps[++end]) {
      const more = step.rate * (step.to_s - step.from_s);
      if (drawn + more >= 1) break;
      drawn += more;
    }
    const last = steps[end];
    if (last === undefined) break; // it lasts to the end from here, and so it does from later on
    const lasts_s = last.from_s + (1 - drawn) / last.rate - from_s;
    if (worst === null || lasts_s < worst.lasts_s) worst = { from_s, lasts_s };
    if (end > begin) drawn -= rate * (to_s - from_s);
    else end = begin + 1;
  }
  return worst ?? { from_s: first.from_s, lasts_s: null };
}
