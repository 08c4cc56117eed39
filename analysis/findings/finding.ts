// A finding: something about the basin, the pump or a sensor that a person should know, with its evidence.

export const findingKinds = [
  "high-water",
  "inflow-exceeds-pump",
  "undersized",
  "short-cycling",
  "float-stuck-off",
  "float-stuck-on",
  "check-valve-leak",
  "discharge-blocked",
  "pump-worn",
  "power-lost",
  "sensor-fault",
] as const;

export type FindingKind = (typeof findingKinds)[number];

/** `info`: worth knowing; `warning`: see to it soon; `critical`: see to it now. */
export type Severity = "info" | "warning" | "critical";

/** The figures that made a finding. Keys carry their SI unit (`level_m`, `inflow_m3s`); the edges convert by suffix. */
export type Evidence = Readonly<Record<string, number | string | boolean | null>>;

export interface Finding {
  readonly kind: FindingKind;
  readonly severity: Severity;
  readonly from_s: number;
  /** Null while it lasts. */
  readonly to_s: number | null;
  readonly evidence: Evidence;
  /** What to do about it, in words without figures in units, so that it reads alike in both unit systems. */
  readonly message: string;
}

/** A finding that is still open, known by kind and beginning, and since when its condition has not held any more. */
export interface Ceasing {
  readonly kind: FindingKind;
  readonly from_s: number;
  readonly since_s: number;
}

export type FindingChange = "began" | "updated" | "ended";
