// The head that a path of pipes and fittings takes at a flow, by one of two friction formulas.

import type { PathLength } from "./discharge-path.ts";
import { hazenWilliamsLoss_m } from "./hazen-williams.ts";
import { pipeLoss_m } from "./pipe-loss.ts";
import { pipeVelocity_ms, velocityHead_m } from "./velocity-head.ts";
import { waterKinematicViscosity_m2s } from "./water.ts";

/** The program's own figures are by Darcy and Weisbach; the other is there to compare with codes and tables. */
export type FrictionFormula = "darcy-weisbach" | "hazen-williams";

export type LossByFlow = (flow_m3s: number) => number;

/**
 * Pipe and fittings together, in m, as a function of the flow in m³/s.
 *
 * @param temperature_c of the water, 0 to 40 °C; Hazen and Williams know none
 * @returns null where Hazen–Williams is asked for and a length has no C
 * @throws {RangeError} on water outside 0 to 40 °C; the function, on a flow under 0
 */
export function pathLoss(
  path: readonly PathLength[],
  temperature_c: number,
  formula: FrictionFormula = "darcy-weisbach",
): LossByFlow | null {
  return formula === "darcy-weisbach" ? darcyWeisbach(path, temperature_c) : hazenWilliams(path);
}

/** As `pathLoss` by Darcy and Weisbach, which always has an answer. */
export function darcyWeisbach(path: readonly PathLength[], temperature_c: number): LossByFlow {
  const viscosity_m2s = waterKinematicViscosity_m2s(temperature_c);
  const runs = path.map(({ bore, length_m, lossCoefficient }) => ({
    insideDiameter_m: bore.insideDiameter_m,
    roughness_m: bore.roughness_m,
    length_m,
    lossCoefficient,
  }));
  return (flow_m3s) => runs.reduce((sum, run) => sum + pipeLoss_m(run, flow_m3s, viscosity_m2s), 0);
}

function hazenWilliams(path: readonly PathLength[]): LossByFlow | null {
  const runs = path.flatMap(({ bore, length_m, lossCoefficient }) =>
    bore.hazenWilliamsC === null ? [] : [{ ...bore, c: bore.hazenWilliamsC, length_m, lossCoefficient }],
  );
  if (runs.length < path.length) return null;
  return (flow_m3s) =>
    runs.reduce((sum, { insideDiameter_m, length_m, c, lossCoefficient }) => {
      const fittings_m = lossCoefficient * velocityHead_m(pipeVelocity_ms(flow_m3s, insideDiameter_m));
      return sum + hazenWilliamsLoss_m(flow_m3s, insideDiameter_m, length_m, c) + fittings_m;
    }, 0);
}
