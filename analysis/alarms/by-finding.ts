// Since when an alarm's condition holds, and since when its cause is over, by the findings of its kind. Pure.

import type { Finding, FindingKind } from "../findings/finding.ts";
import type { AlarmDefinition, AlarmInput } from "./alarm.ts";

/** Holds from the beginning of a finding until it is closed; its cause is over somewhat earlier. */
export function byFinding(kind: FindingKind): Pick<AlarmDefinition, "since" | "ceased"> {
  return { since: sinceFinding(kind), ceased: ceasedFinding(kind) };
}

/** Begins with the earliest finding of the kind that lasts, of those that are meant. */
export function sinceFinding(kind: FindingKind, isMeant?: IsMeant): (input: AlarmInput) => number | null {
  return ({ situation }) => {
    const open = lasting(situation, kind, isMeant);
    return open.length === 0 ? null : Math.min(...open.map(({ from_s }) => from_s));
  };
}

/** Once all that last have ceased, of those that are meant. */
export function ceasedFinding(kind: FindingKind, isMeant?: IsMeant): (input: AlarmInput) => number | null {
  return ({ situation }) => {
    const ceased = lasting(situation, kind, isMeant).map(
      ({ from_s }) => situation.ceasing?.find((each) => each.kind === kind && each.from_s === from_s)?.since_s ?? null,
    );
    const over = ceased.filter((since_s) => since_s !== null);
    return over.length === 0 || over.length < ceased.length ? null : Math.max(...over);
  };
}

type IsMeant = (finding: Finding) => boolean;

function lasting(
  { openFindings }: AlarmInput["situation"],
  kind: FindingKind,
  isMeant: IsMeant = () => true,
): Finding[] {
  return openFindings.filter((finding) => finding.kind === kind && isMeant(finding));
}

export function earliest(...times: readonly (number | null | undefined)[]): number | null {
  const known = times.filter((time_s) => typeof time_s === "number");
  return known.length === 0 ? null : Math.min(...known);
}
