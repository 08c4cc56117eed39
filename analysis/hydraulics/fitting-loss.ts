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
  /** Lowest and highest that is published of it; in `publishedIn`. */
  readonly published: readonly [number, number];
}

/** Where `published` comes from, of 1-1/4 to 2 in. */
export const publishedIn =
  "EPANET 2.2 User Manual; Munson et al., Fundamentals of Fluid Mechanics, table 8.2 (threaded); Technical Paper No. 410; Kalsi & Tullis (1993)";

/**
 * Standard uncertainty of a coefficient that may be any that is published of its fitting (GUM 4.3.7), about the one that is
 * taken: it holds, too, that one being far from the middle.
 */
export function uLossCoefficient({ k, published: [low, high] }: FittingLoss): number {
  return high > low ? Math.sqrt(((high - k) ** 3 - (low - k) ** 3) / (3 * (high - low))) : 0;
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
  entrance: { label: "entrance, square", k: 0.5, source: manual, published: [0.5, 0.5] },
  exit: { label: "exit", k: 1.0, source: manual, published: [1, 1] },
  "elbow-90": { label: "elbow 90°", k: 0.9, source: `${manual}: short radius`, published: [0.57, 1.5] },
  "elbow-90-long-radius": { label: "elbow 90°, long radius", k: 0.6, source: manual, published: [0.6, 0.7] },
  "elbow-90-street": {
    label: "street elbow 90°",
    k: 1.5,
    source: `${street} 50 to 30, on the elbow's 0.9`,
    published: [0.95, 2.5],
  },
  "elbow-45": { label: "elbow 45°", k: 0.4, source: manual, published: [0.3, 0.42] },
  "elbow-45-street": {
    label: "street elbow 45°",
    k: 0.65,
    source: `${street} 26 to 16, on the elbow's 0.4`,
    published: [0.49, 0.68],
  },
  "tee-run": { label: "tee, straight through", k: 0.6, source: manual, published: [0.38, 0.9] },
  "tee-branch": { label: "tee, through the branch", k: 1.8, source: manual, published: [1.14, 2] },
  union: {
    label: "union",
    k: 0.04,
    source: "Perry's Chemical Engineers' Handbook, table of additional frictional loss (from memory)",
    published: [0.04, 0.08],
  },
  "gate-valve": { label: "gate valve, open", k: 0.2, source: manual, published: [0.1, 0.3] },
  "ball-valve": {
    label: "ball valve, open, full bore",
    k: 0.06,
    source: "Technical Paper No. 410: 3·fT at 1-1/2 in, fT 0.020",
    published: [0.05, 0.063],
  },
  "check-valve-swing": { label: "swing check valve", k: 2.5, source: manual, published: [0.29, 2.5] },
  "check-valve-spring": {
    label: "spring check valve",
    k: 4.6,
    source: "lift check, mean of Kalsi & Tullis (1993), whose range is 0.85 to 9.1",
    published: [0.85, 9.1],
  },
};
