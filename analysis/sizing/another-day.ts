// What the pump that is there would move once it is worn, and through a pipe that deposit has narrowed; and whether that
// would still do.

import { usualConditions } from "../hydraulics/duty-points.ts";
import type { PumpCurve } from "../hydraulics/pump-curve.ts";
import { cloggedDischarge, wearInWords, wornCurve } from "../hydraulics/worn-pump.ts";
import type { DischargeSite, Site } from "../site.ts";
import { type Words, words } from "../units/words.ts";
import type { SizingLater } from "./answer/lift.ts";
import type { Demand } from "./demand.ts";
import { lowestLevel_m } from "./head.ts";
import { m3s } from "./to-answer.ts";
import { dutyAt } from "./what-pump-moves.ts";

/**
 * @param curve of the pump, as published or brought through what was measured
 * @returns both null without a curve or a discharge, or where the two do not meet as they are
 */
export function anotherDay(
  site: Site,
  curve: PumpCurve | null,
  { requiredFlow }: Demand,
): { readonly worn: SizingLater | null; readonly clogged: SizingLater | null } {
  const { discharge } = site;
  const { wear, closedShare } = usualConditions;
  const level_m = lowestLevel_m(site);
  if (curve === null || discharge === null || dutyAt(curve, discharge, level_m) === null) {
    return { worn: null, clogged: null };
  }
  const say = words(site.displayUnits);
  const later = (when: string, of: PumpCurve, through: DischargeSite): SizingLater => {
    const lpm = dutyAt(of, through, level_m)?.lpm ?? null;
    const enough = requiredFlow === null ? null : lpm !== null && m3s(lpm) >= requiredFlow.flow_m3s;
    const needed = requiredFlow === null ? null : say.flow(requiredFlow.flow_m3s);
    return { lpm, enough, message: `${when}: ${movesWords(lpm, say)}${opinion(enough, needed)}` };
  };
  return {
    worn: wear && later(`worn (${wearInWords(wear)})`, wornCurve(curve, wear), discharge),
    clogged:
      closedShare === null
        ? null
        : later(`pipe clogged by ${100 * closedShare} % of its area`, curve, cloggedDischarge(discharge, closedShare)),
  };
}

/** That the two curves do not meet is no proof that nothing is moved. */
function movesWords(lpm: number | null, say: Words): string {
  return lpm === null ? "no duty point on this discharge" : `moves ${say.flow(m3s(lpm))}`;
}

function opinion(enough: boolean | null, needed: string | null): string {
  if (enough === null || needed === null) return "";
  return enough ? `, still enough for the ${needed} required` : `, too little for the ${needed} required`;
}
