// What each kind of finding and each severity is called on the screen. What to do is the finding's own message.

import type { Finding, FindingKind, Severity } from "../analysis/findings/finding.ts";

export const findingTitle: Readonly<Record<FindingKind, string>> = {
  "high-water": "High water",
  "inflow-exceeds-pump": "More comes in than the pump moves",
  undersized: "The pump is small for the worst so far",
  "short-cycling": "The pump starts too often",
  "float-stuck-off": "The pump does not start",
  "float-stuck-on": "The pump does not stop",
  "check-valve-leak": "Water comes back through the check valve",
  "discharge-blocked": "The discharge lets little through",
  "pump-worn": "The pump moves less than it used to",
  "power-lost": "No power",
  "sensor-fault": "A sensor cannot be trusted",
};

export const severityWord: Readonly<Record<Severity, string>> = {
  critical: "See to it now",
  warning: "See to it soon",
  info: "Good to know",
};

/** Of a finding that is over. */
export const severityWas: Readonly<Record<Severity, string>> = {
  critical: "Ended · urgent",
  warning: "Ended · warning",
  info: "Ended · note",
};

const rank: Readonly<Record<Severity, number>> = { critical: 0, warning: 1, info: 2 };

/** Most urgent first, and among equals the newest first. */
export function byUrgency(findings: readonly Finding[]): Finding[] {
  return findings.toSorted((a, b) => rank[a.severity] - rank[b.severity] || b.from_s - a.from_s);
}
