// The head that the discharge asks of the pump at a given flow: the lift and what the pipe takes.
// Where that meets the pump's curve is duty-point.ts.

import type { DischargeSite } from "../site.ts";
import { dischargePath } from "./discharge-path.ts";
import { darcyWeisbach } from "./path-loss.ts";
import { pipeBore } from "./pipe-table.ts";
import { pipeVelocity_ms } from "./velocity-head.ts";

/** Ground water is close to it. */
export const usualWater_c = 10;

export interface DischargeHead {
  readonly staticHead_m: number;
  readonly frictionHead_m: number;
  readonly totalDynamicHead_m: number;
  /** In the pipe that the site calls `pipe`; the worksheet has every length's. */
  readonly velocity_ms: number;
}

/**
 * Total dynamic head of a discharge at one flow; of two pumps with risers of their own, with the first running alone.
 *
 * Static head is the rise from the water to the highest point of the discharge; a level above that point counts as no
 * rise, not as help. Friction is that of every length of pipe and of the fittings listed, and of each change of bore from
 * one length to the next. The velocity head that leaves with the water is always there: it is counted once, unless the
 * site lists an `exit` itself. An entrance counts only where listed, since a pump's curve is taken at its outlet.
 *
 * @param discharge     high point, pipes and fittings
 * @param flow_m3s      0 or above
 * @param waterLevel_m  level above the inside bottom of the basin
 * @param temperature_c of the water, 0 to 40 °C; null: as the site gives it, else 10 °C
 * @throws {RangeError} on a flow under 0, a pipe that is not in the table, or water outside 0 to 40 °C
 */
export function dischargeHead(
  discharge: DischargeSite,
  flow_m3s: number,
  waterLevel_m: number,
  temperature_c: number | null = null,
): DischargeHead {
  const staticHead_m = staticHead(discharge, waterLevel_m);
  const frictionHead_m = darcyWeisbach(dischargePath(discharge), waterOf(discharge, temperature_c))(flow_m3s);
  return {
    staticHead_m,
    frictionHead_m,
    totalDynamicHead_m: staticHead_m + frictionHead_m,
    velocity_ms: pipeVelocity_ms(flow_m3s, pipeBore(discharge.pipe).insideDiameter_m),
  };
}

/** The rise from the water to the highest point, m; never under 0. */
export function staticHead(discharge: DischargeSite, waterLevel_m: number): number {
  return Math.max(0, discharge.highPoint_m - waterLevel_m);
}

/** Temperature of the water, °C: as asked for, else as the site gives it, else usual. */
export function waterOf(discharge: DischargeSite, temperature_c: number | null = null): number {
  return temperature_c ?? discharge.waterTemperature_c ?? usualWater_c;
}
