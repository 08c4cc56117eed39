// Loss coefficients of fittings, on the velocity head of the pipe they are in, each with where it comes from.
// Sources differ by a factor of two to three; one table is followed, so that figures can be traced.

import type { FittingKind } from "../site.ts";

/** Fittings whose coefficient does not depend on what they are fitted between. */
export type TabledFitting = Exclude<FittingKind, "reducer" | "enlargement" | "other">;

export interface FittingLoss {
  /** For a person to read: `elbow 90°`. */
  readonly label: string;
  /** Loss coefficient K, valves fully open: head lost = K·v²/2g. */
  readonly k: number;
  readonly source: string;
}

/**
 * Loss coefficient K of a fitting, valves fully open: head lost = K·v²/2g.
 *
 * @throws {RangeError} on a kind that has none of its own: `reducer` and `enlargement` depend on two bores, `other` is told
 * @see EPANET 2.2 User Manual, table of minor loss coefficients; those that it lacks name their source below
 */
export function lossCoefficient(kind: FittingKind): number {
  return fittingLoss(kind).k;
}

/** As `lossCoefficient`, with label and source. */
export function fittingLoss(kind: FittingKind): FittingLoss {
  if (!isTabled(kind)) throw new RangeError(`fittingLoss: ${kind} has no coefficient of its own; give it k`);
  return fittingTable[kind];
}

export function isTabled(kind: FittingKind): kind is TabledFitting {
  return Object.hasOwn(fittingTable, kind);
}

/** For a person to read, whatever the kind. */
export function fittingLabel(kind: FittingKind): string {
  return isTabled(kind) ? fittingTable[kind].label : untabled[kind];
}

const untabled = { reducer: "reducer", enlargement: "enlargement", other: "other fitting" };

const manual = "EPANET 2.2 User Manual, table of minor loss coefficients";
/** Equivalent lengths in diameters: elbow 30, street elbow 50; at 45° 16 and 26. */
const street = "Technical Paper No. 410 (from memory): equivalent lengths";

/** Every fitting that has a coefficient, with its source. */
export const fittingTable: Readonly<Record<TabledFitting, FittingLoss>> = {
  entrance: { label: "entrance, square", k: 0.5, source: manual },
  exit: { label: "exit", k: 1.0, source: manual },
  "elbow-90": { label: "elbow 90°", k: 0.9, source: `${manual}: short radius` },
  "elbow-90-long-radius": { label: "elbow 90°, long radius", k: 0.6, source: manual },
  "elbow-90-street": { label: "street elbow 90°", k: 1.5, source: `${street} 50 to 30, on the elbow's 0.9` },
  "elbow-45": { label: "elbow 45°", k: 0.4, source: manual },
  "elbow-45-street": { label: "street elbow 45°", k: 0.65, source: `${street} 26 to 16, on the elbow's 0.4` },
  "tee-run": { label: "tee, straight through", k: 0.6, source: manual },
  "tee-branch": { label: "tee, through the branch", k: 1.8, source: manual },
  union: {
    label: "union",
    k: 0.04,
    source: "Perry's Chemical Engineers' Handbook, table of additional frictional loss (from memory)",
  },
  "gate-valve": { label: "gate valve, open", k: 0.2, source: manual },
  "ball-valve": {
    label: "ball valve, open, full bore",
    k: 0.06,
    source: "Technical Paper No. 410: 3·fT at 1-1/2 in, fT 0.020",
  },
  "check-valve-swing": { label: "swing check valve", k: 2.5, source: manual },
  "check-valve-spring": {
    label: "spring check valve",
    k: 4.6,
    source: "lift check, mean of Kalsi & Tullis (1993), whose range is 0.85 to 9.1",
  },
};
