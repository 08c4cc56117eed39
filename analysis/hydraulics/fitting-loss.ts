// Loss coefficients of fittings, on the velocity head of the pipe they are in.
// Sources differ by a factor of two to three; one table is followed, so that figures can be traced.

import type { FittingKind } from "../site.ts";

/**
 * Loss coefficient K of a fitting, valves fully open: head lost = K·v²/2g.
 *
 * @see EPANET 2.2 User Manual, table of minor loss coefficients; the three that it lacks name their source below
 */
export function lossCoefficient(kind: FittingKind): number {
  return coefficients[kind];
}

const coefficients: Readonly<Record<FittingKind, number>> = {
  entrance: 0.5, // square
  exit: 1.0,
  "elbow-90": 0.9, // short radius
  "elbow-90-long-radius": 0.6,
  "elbow-45": 0.4,
  "tee-run": 0.6,
  "tee-branch": 1.8,
  "gate-valve": 0.2,
  "check-valve-swing": 2.5,
  union: 0.04, // Perry's Chemical Engineers' Handbook, table of additional frictional loss, from memory
  "ball-valve": 0.06, // Technical Paper No. 410, 3·fT at 1-1/2 in, full bore
  "check-valve-spring": 4.6, // lift check, mean of Kalsi & Tullis (1993), whose range is 0.85 to 9.1
};
