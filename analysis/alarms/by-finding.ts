// Since when an alarm's condition holds, and since when its cause is over, by the findings of its kind. Pure.

import type { Finding, FindingKind } from "../findings/finding.ts";
import type { AlarmDefinition, AlarmInput } from "./alarm.ts";

/** Holds from the beginning of a finding until it is closed; its cause is over somewhat earlier. */
export function byFinding(kind: FindingKind): Pick<AlarmDefinition, "since" | "ceased"> {
  return { since: sinceFinding(kind), ceased: ceasedFinding(kind) };
}

/** Begins with the earliest finding of the kind that lasts, of those that are meant. */
export function sinceFinding(
  kind: FindingKind,
  isMeant: (finding: Finding) => boolean = () => true,
): (input: AlarmInput) => number | null {
  return ({ situation }) => {
    const open = situation.openFindings.filter((finding) => finding.kind === kind && isMeant(finding));
    return open.length === 0 ? null : Math.min(...open.map(({ from_s }) => from_s));
  };
}

/** Once all that are open have ceased. */
export function ceasedFinding(kind: FindingKind): (input: AlarmInput) => number | null {
  return ({ situation: { openFindings, ceasing = [] } }) => {
    const over = ceasing.filter((each) => each.kind === kind);
    if (over.length === 0 || over.length < openFindings.filter((finding) => finding.kind === kind).length) return null;
    return Math.max(...over.map(({ since_s }) => since_s));
  };
}

export function earliest(...times: readonly (number | null | undefined)[]): number | null {
  const known = times.filter((time_s) => typeof time_s === "number");
  return known.length === 0 ? null : Math.min(...known);
}
