// What may be true of a basin, most urgent first, and why it stands where it does. The one place that decides the order
// of the overview. Pure.

import type { FindingKind, Severity } from "../../analysis/findings/finding.ts";

/** `now`: someone has to go there; `silent`: nothing is known; `soon`, `service`: to be planned; `well`: nothing to do. */
export type Tier = "now" | "silent" | "soon" | "service" | "well";

export type ConditionKind =
  | FindingKind
  | "silent"
  | "not-heard-yet"
  | "board-battery-low"
  | "much-for-dry-weather"
  | "nothing-pumped"
  | "one-pump-out"
  | "two-boards"
  | "clock-wrong"
  | "readings-late"
  | "record-behind"
  | "not-enrolled"
  | "service-due"
  | "well";

export interface Urgency {
  readonly kind: ConditionKind;
  readonly tier: Tier;
  readonly why: string;
}

/** Judgement of our own, common practice where it is said; no standard ranks these. */
export const urgencyTable: readonly Urgency[] = [
  { kind: "high-water", tier: "now", why: "Water stands where it must not, and may reach the floor within minutes." },
  {
    kind: "inflow-exceeds-pump",
    tier: "now",
    why: "The pump works and the water still rises: high water comes next, and only a second pump helps.",
  },
  {
    kind: "float-stuck-off",
    tier: "now",
    why: "The water is above where the pump starts and it does not: high water comes next, as fast as water comes in.",
  },
  {
    kind: "power-lost",
    tier: "now",
    why: "No pump until the mains are back; how long that may take, the inflow says.",
  },
  {
    kind: "discharge-blocked",
    tier: "now",
    why: "The pump still moves a little; the next rain is more than that.",
  },
  {
    kind: "float-stuck-on",
    tier: "now",
    why: "Nobody's floor gets wet, but a pump that runs dry may be ruined within hours.",
  },
  {
    kind: "silent",
    tier: "silent",
    why: "All of the above may be true and nobody would know; most often it is the mains or the network.",
  },
  {
    kind: "not-heard-yet",
    tier: "silent",
    why: "As silent, but it is the central view that has not listened for long enough to say so.",
  },
  {
    kind: "board-battery-low",
    tier: "soon",
    why: "The board runs on its battery; when that is empty the basin is silent and nobody is called.",
  },
  {
    kind: "one-pump-out",
    tier: "soon",
    why: "The other pump has to do its work; nothing is left should that fail too, or more water come.",
  },
  {
    kind: "two-boards",
    tier: "soon",
    why: "What is said of this basin may be of another one: to be put right before anything below is believed.",
  },
  {
    kind: "sensor-fault",
    tier: "soon",
    why: "The basin is watched with one eye: what is above may be missed, or be wrong.",
  },
  {
    kind: "clock-wrong",
    tier: "soon",
    why: "What happens is seen, but stands in the record at a wrong time.",
  },
  {
    kind: "readings-late",
    tier: "soon",
    why: "What is shown is of some time ago: what is true now may be worse, and is told late.",
  },
  {
    kind: "record-behind",
    tier: "soon",
    why: "What is true now is seen; what was, stands on the board's card alone, and is lost with it.",
  },
  { kind: "short-cycling", tier: "soon", why: "Each start wears the motor: weeks, not years, of its life." },
  { kind: "check-valve-leak", tier: "soon", why: "The pump lifts the same water again, and starts the more often." },
  {
    kind: "much-for-dry-weather",
    tier: "soon",
    why: "Nothing is in danger; a pipe that leaks costs more each day.",
  },
  {
    kind: "nothing-pumped",
    tier: "soon",
    why: "In a dry time all may be well; a pump that has seized is found out now or in the next storm.",
  },
  { kind: "pump-worn", tier: "soon", why: "It declines over months: time to plan a new one before the wet season." },
  { kind: "undersized", tier: "soon", why: "Enough so far; a choice to be made before the worst storm, not in it." },
  { kind: "service-due", tier: "service", why: "By the calendar, not by anything that was measured." },
  { kind: "not-enrolled", tier: "service", why: "Nothing is wrong there; someone has to say whose basin it is." },
  { kind: "well", tier: "well", why: "Nothing to do." },
];

const rankOf = new Map(urgencyTable.map(({ kind }, rank): [string, number] => [kind, rank]));

/** A finding of a kind that a newer board knows and this program does not, by how severe the board calls it. */
const beforeSilent = firstOf("silent") - 0.5;
const beforeService = firstOf("service") - 0.5;

export interface Place {
  readonly rank: number;
  readonly tier: Tier;
}

/** @param severity decides where a kind stands that the table does not have */
export function placeOf(kind: string, severity: Severity = "warning"): Place {
  const rank = rankOf.get(kind);
  if (rank !== undefined) return { rank, tier: urgencyTable[rank]?.tier ?? "well" };
  return severity === "critical" ? { rank: beforeSilent, tier: "now" } : { rank: beforeService, tier: "soon" };
}

function firstOf(tier: Tier): number {
  return urgencyTable.findIndex((urgency) => urgency.tier === tier);
}
