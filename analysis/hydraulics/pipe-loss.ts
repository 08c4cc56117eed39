// Head lost in a run of pipe and its fittings, after Darcy and Weisbach. Which pipe and which fittings, others say.

import { flowRegime, frictionFactor } from "./friction-factor.ts";
import { pipeVelocity_ms, velocityHead_m } from "./velocity-head.ts";

export interface PipeRun {
  readonly insideDiameter_m: number;
  readonly length_m: number;
  readonly roughness_m: number;
  /** Sum of the loss coefficients of what is fitted into the run, on the pipe's own velocity head. */
  readonly lossCoefficient: number;
}

/**
 * Head lost in a pipe that runs full: (f·L/D + ΣK)·v²/2g.
 *
 * @param run                     the pipe
 * @param flow_m3s                0 or above
 * @param kinematicViscosity_m2s  of the water
 * @returns m, rising with the flow from 0 at rest
 * @throws {RangeError} on a flow under 0 or one that is not a number
 * @see Darcy–Weisbach, as in White, Fluid Mechanics, ch. 6
 */
export function pipeLoss_m(run: PipeRun, flow_m3s: number, kinematicViscosity_m2s: number): number {
  if (!(flow_m3s >= 0)) throw new RangeError(`pipeLoss_m: the flow is ${flow_m3s} m³/s; it must be 0 or above`);
  const { insideDiameter_m, length_m, roughness_m, lossCoefficient } = run;
  const velocity_ms = pipeVelocity_ms(flow_m3s, insideDiameter_m);
  const reynolds = (velocity_ms * insideDiameter_m) / kinematicViscosity_m2s;
  if (flowRegime(reynolds) === "at-rest") return 0;
  const factor = frictionFactor(reynolds, roughness_m / insideDiameter_m);
  return ((factor * length_m) / insideDiameter_m + lossCoefficient) * velocityHead_m(velocity_ms);
}
