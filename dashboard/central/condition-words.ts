// What is true of a basin and what to do about it, in plain words. Pure; what the board itself advises comes first.

import type { Condition, OverviewRow } from "../../daemon/central/central-types.ts";
import type { ConditionKind, Tier } from "../../daemon/central/urgency.ts";
import { findingTitle } from "../finding-words.ts";
import { duration, roughDuration } from "../format.ts";
import type { Tone } from "../now-sentence.ts";

export const toneOf: Readonly<Record<Tier, Tone | "note">> = {
  now: "act",
  silent: "unknown",
  soon: "watch",
  service: "note",
  well: "calm",
};

/** In the order in which they are counted at the top. */
export const tiers: readonly Tier[] = ["now", "silent", "soon", "service", "well"];

/** After a number of basins: `3 need someone now`. */
export const tierWords: Readonly<Record<Tier, readonly [one: string, more: string]>> = {
  now: ["needs someone now", "need someone now"],
  silent: ["is silent", "are silent"],
  soon: ["to see to soon", "to see to soon"],
  service: ["to plan", "to plan"],
  well: ["is well", "are well"],
};

/** The same where there is little room. */
export const tierShort: Readonly<Record<Tier, string>> = {
  now: "now",
  silent: "silent",
  soon: "soon",
  service: "to plan",
  well: "well",
};

const titles: Readonly<Record<ConditionKind, string>> = {
  ...findingTitle,
  silent: "Silent: nothing is known",
  "not-heard-yet": "Not heard yet",
  "board-battery-low": "The board's battery is low",
  "much-for-dry-weather": "Much water for dry weather",
  "nothing-pumped": "Nothing pumped for long",
  "one-pump-out": "One of two pumps does not start",
  "two-boards": "Two boards go by this name",
  "clock-wrong": "The board's clock is wrong",
  "readings-late": "Its readings come late",
  "record-behind": "Its record does not get through",
  "service-due": "Service is due",
  "not-enrolled": "Not enrolled",
  well: "All well",
};

export function titleOf({ kind }: Condition): string {
  return isKnown(kind) ? titles[kind] : kind.replaceAll("-", " ").replace(/^./, (letter) => letter.toUpperCase());
}

/** `for 4 min`, `last heard 2 h ago`; empty where there is nothing to say. */
export function sinceOf({ kind, since_s }: Condition, { clockOff_s }: OverviewRow, now_s: number): string {
  const for_s = since_s === null ? null : Math.max(0, now_s - since_s);
  switch (kind) {
    case "silent":
    case "not-heard-yet":
      return for_s === null ? "never heard" : `last heard ${roughDuration(for_s)} ago`;
    case "clock-wrong":
      return clockOff_s === null ? "" : `${duration(Math.abs(clockOff_s))} ${clockOff_s > 0 ? "ahead" : "behind"}`;
    case "service-due":
      return since_s === null ? "" : `since ${day(since_s)}`;
    case "readings-late":
    case "two-boards":
    case "not-enrolled":
    case "well":
      return "";
    default:
      return for_s === null ? "" : `for ${roughDuration(for_s)}`;
  }
}

/** Null: nothing is to be done. */
export function adviceOf({ kind, since_s, advice }: Condition, { connected, clockOff_s }: OverviewRow): string | null {
  if (advice !== null) return advice;
  switch (kind) {
    case "silent":
      if (since_s === null && connected === null) {
        return "Nothing has come from it yet: see that the board runs, and publishes under this name.";
      }
      return connected === true
        ? "The board is connected and no reading comes: see to its sensor; until then look at the basin itself."
        : "See whether the board has power and network; until it is back, look at the basin itself, first where it rains.";
    case "not-heard-yet":
      return "The central view has not listened for long enough. Wait half a minute.";
    case "two-boards":
      return "Give each board a name of its own. Until then what stands here may be of either.";
    case "clock-wrong":
      return (clockOff_s ?? 0) > 0
        ? "Set its clock: what it records until then stands at the wrong time."
        : "Set its clock, or see why its readings come late: what it records until then stands at the wrong time.";
    case "readings-late":
      return "See why its source brings readings of some time ago; until it has caught up, look at the basin itself.";
    case "record-behind":
      return "See its page, under Instruments, for what holds its record back; until then the board's card alone has it.";
    case "service-due":
      return "Plan a visit, and note in its entry when it was done.";
    case "not-enrolled":
      return "A board publishes under this name, and nobody has enrolled it: find out whose it is.";
    default:
      return null;
  }
}

/**
 * What the whole page says first.
 * @param unanswered alarms for which boards go on calling people, perhaps of what is over in a moment
 */
export function headline(
  counts: Readonly<Record<Tier, number>>,
  unanswered: number,
): { readonly tone: Tone; readonly text: string } {
  const some = (tier: Tier) => `${basins(counts[tier])} ${tierWords[tier][counts[tier] === 1 ? 0 : 1]}.`;
  if (counts.now > 0) return { tone: "act", text: some("now") };
  if (counts.silent > 0) return { tone: "unknown", text: `Nobody is called for, but ${some("silent")}` };
  if (unanswered > 0) {
    const wait = unanswered === 1 ? "one alarm waits" : `${unanswered.toLocaleString("en")} alarms wait`;
    return { tone: "watch", text: `Nobody is needed now, but ${wait} for an answer.` };
  }
  if (counts.soon > 0) return { tone: "watch", text: "Nobody is needed now." };
  return counts.well + counts.service === 0
    ? { tone: "unknown", text: "There is no basin here yet." }
    : { tone: "calm", text: "Nobody is needed anywhere." };
}

function basins(count: number): string {
  return `${count.toLocaleString("en")} ${count === 1 ? "basin" : "basins"}`;
}

function isKnown(kind: string): kind is ConditionKind {
  return Object.hasOwn(titles, kind);
}

const dayForm = new Intl.DateTimeFormat("en-GB", { timeZone: "UTC", day: "numeric", month: "short", year: "numeric" });

/** A date of the calendar, which stands as its midnight in UTC. */
function day(time_s: number): string {
  return dayForm.format(time_s * 1000);
}
