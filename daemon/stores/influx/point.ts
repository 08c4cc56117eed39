// A point of the shared database: which policy and measurement each kind of record goes to.

import type { Fields } from "./line-values.ts";

/** `raw` is dropped after a while, `forever` is not. */
export type Policy = "raw" | "forever";

/** A point as the client takes it, and the policy that it goes to. */
export interface Point {
  readonly policy: Policy;
  readonly measurement: Measurement;
  readonly tags: Readonly<Record<string, string>>;
  readonly fields: Fields;
  /** Nanoseconds since 1970. */
  readonly timestamp: string;
}

export const policyOf = {
  /** Readings, one point each. */
  reading: "raw",
  /** Single stretches of inflow. */
  inflow: "raw",
  /** Inflow joined by ten minutes. */
  inflow_10m: "forever",
  /** How many levels, lowest, highest, sum: by ten minutes, by days. */
  level_10m: "forever",
  level_1d: "forever",
  cycle: "forever",
  finding: "forever",
  /** What a basin is: one point, at 1970. */
  basin: "forever",
} as const satisfies Record<string, Policy>;

export type Measurement = keyof typeof policyOf;

export function pointOf(
  measurement: Measurement,
  basin: string,
  timestamp: string,
  fields: Fields,
  tags: Readonly<Record<string, string>> = {},
): Point {
  return { policy: policyOf[measurement], measurement, tags: { basin, ...tags }, fields, timestamp };
}
