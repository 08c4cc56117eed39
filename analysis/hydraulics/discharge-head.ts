// The head that the discharge asks of the pump at a given flow: the lift and what the pipe takes.
// Where that meets the pump's curve is duty-point.ts.

import type { DischargeSite } from "../site.ts";
import { lossCoefficient } from "./fitting-loss.ts";
import { pipeLoss_m } from "./pipe-loss.ts";
import { pipeBore } from "./pipe-table.ts";
import { pipeVelocity_ms } from "./velocity-head.ts";
import { waterKinematicViscosity_m2s } from "./water.ts";

export interface DischargeHead {
  readonly staticHead_m: number;
  readonly frictionHead_m: number;
  readonly totalDynamicHead_m: number;
  readonly velocity_ms: number;
}

/**
 * Total dynamic head of a discharge at one flow.
 *
 * Static head is the rise from the water to the highest point of the discharge; a level above that point counts as no
 * rise, not as help. Friction is that of the whole length of pipe and of the fittings listed. The velocity head that
 * leaves with the water is always there: it is counted once, unless the site lists an `exit` itself. An entrance counts
 * only where listed, since a pump's curve is taken at its outlet.
 *
 * @param discharge     high point, pipe and fittings
 * @param flow_m3s      0 or above
 * @param waterLevel_m  level above the inside bottom of the basin
 * @param temperature_c of the water, 0 to 40 °C; ground water is close to the 10 °C that stand here
 * @throws {RangeError} on a flow under 0, a pipe that is not in the table, or water outside 0 to 40 °C
 */
export function dischargeHead(
  discharge: DischargeSite,
  flow_m3s: number,
  waterLevel_m: number,
  temperature_c = 10,
): DischargeHead {
  const { insideDiameter_m, roughness_m } = pipeBore(discharge.pipe);
  const run = {
    insideDiameter_m,
    roughness_m,
    length_m: discharge.pipe.length_m,
    lossCoefficient: totalLossCoefficient(discharge),
  };
  const staticHead_m = Math.max(0, discharge.highPoint_m - waterLevel_m);
  const frictionHead_m = pipeLoss_m(run, flow_m3s, waterKinematicViscosity_m2s(temperature_c));
  return {
    staticHead_m,
    frictionHead_m,
    totalDynamicHead_m: staticHead_m + frictionHead_m,
    velocity_ms: pipeVelocity_ms(flow_m3s, insideDiameter_m),
  };
}

function totalLossCoefficient({ fittings }: DischargeSite): number {
  const listed = fittings.reduce((sum, { kind, count }) => sum + count * lossCoefficient(kind), 0);
  return fittings.some(({ kind, count }) => kind === "exit" && count > 0) ? listed : listed + lossCoefficient("exit");
}
