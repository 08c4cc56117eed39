// Where a candidate's pumps have no duty point on their discharge, in words with the figures that stand against each other.

import { meetDischarge } from "../hydraulics/duty-point.ts";
import type { PumpCurve } from "../hydraulics/pump-curve.ts";
import { whyNoDutyPoint } from "../hydraulics/why-no-duty-point.ts";
import type { Site } from "../site.ts";
import { words } from "../units/words.ts";
import { seenBy } from "./pump-flows.ts";

export interface NoDuty {
  readonly words: string;
  /** It moves nothing there; else it is taken to move what the curve ends with. */
  readonly movesNothing: boolean;
}

/**
 * @param curves   of each pump; null where its flow is not by its curve
 * @param levels_m at which to look: the lowest and the highest at which the pumps run
 */
export function withoutDuty(site: Site, curves: readonly (PumpCurve | null)[], levels_m: readonly number[]): NoDuty[] {
  const say = words(site.displayUnits);
  return curves.flatMap((curve, i) => {
    const discharge = seenBy(i, site.discharge);
    if (curve === null || discharge === null) return [];
    for (const level_m of levels_m) {
      const { reason } = meetDischarge(curve, discharge, level_m);
      if (reason === null) continue;
      const which = curves.length > 1 ? `of pump ${i + 1}, ` : "";
      const why = whyNoDutyPoint(reason, curve, discharge, level_m, site.displayUnits);
      const movesNothing = reason !== "beyond-the-curve";
      const then = movesNothing ? "there it moves nothing" : "it is taken to move what the curve ends with";
      return [{ words: `${which}with the water at ${say.level(level_m)} ${why}; ${then}`, movesNothing }];
    }
    return [];
  });
}
