// What each kind of finding and each severity is called on the screen. What to do is the finding's own message.

import type { Finding, Severity } from "../analysis/findings/finding.ts";
import { findingTitle } from "../analysis/findings/finding-titles.ts";

export { findingTitle };

/** Of two pumps the one that it is about. */
export function titleOf({ kind, evidence: { pump } }: Pick<Finding, "kind" | "evidence">): string {
  const title = findingTitle[kind];
  return typeof pump === "number" ? title.replace(/^The pump /, `Pump ${pump} `) : title;
}

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
