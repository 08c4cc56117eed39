// The first thing on the page: what is true now and what to do, in plain words. Pure; a figure never stands here that
// was not measured.

import type { Situation } from "../analysis/analyzer.ts";
import type { FindingKind } from "../analysis/findings/finding.ts";
import type { BasinSite } from "../analysis/site.ts";
import { byUrgency, titleOf } from "./finding-words.ts";
import { roughDuration } from "./format.ts";
import { namesRunning, type PumpNames } from "./pump-words.ts";

/** `calm`: nothing to do; `watch`: see to it soon; `act`: see to it now; `unknown`: the page cannot tell. */
export type Tone = "calm" | "watch" | "act" | "unknown";

export interface NowFacts {
  readonly situation: Situation;
  readonly basin: BasinSite;
  /** What two pumps are called. */
  readonly pumpNames?: PumpNames;
  /** The basin's own time. */
  readonly now_s: number;
  /** Real seconds since the newest reading; null before the first. */
  readonly readingAge_s: number | null;
  /** The page hears the daemon. */
  readonly connected: boolean;
  /** A replayed recording has come to its end. */
  readonly ended: boolean;
}

export interface NowSentence {
  readonly tone: Tone;
  readonly headline: string;
  readonly detail: string;
  /** What to do now; null when nothing is urgent. */
  readonly advice: string | null;
  /** One line for what is open, however long, when nothing is urgent: the findings have the rest. Null without. */
  readonly note: string | null;
}

/** Readings older than this, in real seconds, no longer say what is true now. */
export const staleAfter_s = 90;

export function nowSentence(facts: NowFacts): NowSentence {
  const { situation, readingAge_s } = facts;
  if (situation.time_s === null || readingAge_s === null) return noReadingYet;
  const known = presentSentence(facts);
  if (!facts.connected) {
    return {
      ...known,
      tone: unlessUrgent(known.tone),
      headline: `Not connected. Last known: ${lower(known.headline)}`,
    };
  }
  if (facts.ended) return { ...known, headline: `The recording has ended. At its end: ${lower(known.headline)}` };
  if (readingAge_s > staleAfter_s) return staleSentence(known, readingAge_s);
  return known;
}

const noReadingYet: NowSentence = {
  tone: "unknown",
  headline: "No reading yet.",
  detail: "Nothing is known about the basin until the first one arrives.",
  advice: "If this lasts more than a minute, see the instruments below: they say what each one waits for.",
  note: null,
};

function staleSentence(known: NowSentence, age_s: number): NowSentence {
  return {
    tone: unlessUrgent(known.tone),
    headline: `No reading for ${roughDuration(age_s)}. Before that: ${lower(known.headline)}`,
    detail: "What the page shows is how it was then, not how it is now.",
    advice: known.tone === "act" ? known.advice : "Look at the basin yourself, then at the instruments below.",
    note: known.note,
  };
}

function presentSentence(facts: NowFacts): NowSentence {
  const open = new Set(facts.situation.openFindings.map((finding) => finding.kind));
  if (open.has("high-water")) return highWaterSentence(facts, open);
  const urgent = byUrgency(facts.situation.openFindings)[0];
  if (urgent?.severity !== "critical") return calmSentence(facts);
  return {
    tone: "act",
    headline: `${titleOf(urgent)}.`,
    detail: joined(pumpClause(facts), timeLeft(facts)),
    advice: urgent.message,
    note: null,
  };
}

function noteOf({ openFindings }: Situation): string | null {
  const [first, ...others] = byUrgency(openFindings);
  if (!first) return null;
  return others.length === 0 ? `${titleOf(first)}.` : `${titleOf(first)}, and ${others.length} more.`;
}

function highWaterSentence(facts: NowFacts, open: ReadonlySet<FindingKind>): NowSentence {
  const { situation, basin } = facts;
  const overFloor =
    situation.level_m !== null && basin.overflowLevel_m !== null && situation.level_m >= basin.overflowLevel_m;
  const subject = overFloor ? "Water has reached the floor." : "High water.";
  const message = situation.openFindings.find((finding) => finding.kind === "high-water")?.message ?? null;
  const rising = open.has("inflow-exceeds-pump") || (situation.levelRate_ms ?? 0) > steady_ms;
  const falling = (situation.levelRate_ms ?? 0) < -steady_ms;

  let clause = "It is not known whether the pump runs.";
  if (open.has("power-lost") || situation.mainsOn === false) clause = "There is no power for the pump.";
  else if (situation.pumpRunning === false) clause = "The pump is not running.";
  else if (bothRun(situation) && rising) clause = "Both pumps run and are not keeping up.";
  else if (situation.pumpRunning && rising) clause = "The pump runs and is not keeping up.";
  else if (situation.pumpRunning && falling) clause = "The pump runs and the water is going down.";
  else if (situation.pumpRunning) clause = "The pump runs and holds the water where it is.";

  return {
    tone: "act",
    headline: `${subject} ${clause}`,
    detail: joined(pumpClause(facts), timeLeft(facts)),
    advice: message,
    note: null,
  };
}

/** Nothing is urgent. What is to be seen to soon takes the green away, not the headline. */
function calmSentence(facts: NowFacts): NowSentence {
  const { situation } = facts;
  const rest = { advice: null, note: noteOf(situation) };
  if (situation.pumpRunning === null && situation.level_m === null) {
    return {
      tone: "unknown",
      headline: "Nothing calls for you, but neither the water level nor the pump is measured.",
      detail: "See the instruments below.",
      ...rest,
    };
  }
  const soon = situation.openFindings.some(({ severity }) => severity === "warning");
  return { tone: soon ? "watch" : "calm", headline: calmHeadline(facts), detail: pumpClause(facts), ...rest };
}

function calmHeadline(facts: NowFacts): string {
  const water = waterWord(facts);
  const { pumpRate, inflow } = facts.situation;
  const keepsUp = pumpRate !== null && inflow !== null && pumpRate.flow_m3s > inflow.flow_m3s;
  if (!keepsUp) return water;
  return water === dry ? "Dry and keeping up." : `${water} The pump keeps up.`;
}

const dry = "Dry.";

/** Dryness is claimed only where something that can be trusted measures it. */
function waterWord({ situation, basin }: NowFacts): string {
  const limit_m = basin.highLevel_m ?? basin.overflowLevel_m;
  const trusted = !situation.openFindings.some((finding) => finding.kind === "sensor-fault");
  const below = trusted && situation.level_m !== null && limit_m !== null && situation.level_m < limit_m;
  return below || situation.highFloat === false ? dry : "No high water is reported.";
}

function bothRun({ pumpsRunning }: Situation): boolean {
  return pumpsRunning?.[0] === true && pumpsRunning[1] === true;
}

function pumpClause({ situation, now_s, pumpNames = ["pump 1", "pump 2"] }: NowFacts): string {
  const { pumpRunning, pumpSince_s } = situation;
  if (pumpRunning === null) return "Whether the pump runs is not known.";
  const since_s = pumpSince_s === null ? null : Math.max(0, now_s - pumpSince_s);
  const names = namesRunning(situation, pumpNames);
  if (pumpRunning && names !== null) {
    return since_s === null ? `Running: ${names}.` : `Pumping for ${roughDuration(since_s)}: ${names}.`;
  }
  if (pumpRunning) return since_s === null ? "The pump is running." : `The pump has run for ${roughDuration(since_s)}.`;
  if (since_s === null) return "The pump has not run yet.";
  if (since_s < 1) return "The pump has just stopped.";
  return `${situation.pumpsRunning == null ? "The pump has not" : "No pump has"} run for ${roughDuration(since_s)}.`;
}

/** When the water, rising as it does, reaches the floor. */
function timeLeft({ situation, basin }: NowFacts): string | null {
  const { level_m, levelRate_ms } = situation;
  if (level_m === null || levelRate_ms === null || basin.overflowLevel_m === null) return null;
  const freeboard_m = basin.overflowLevel_m - level_m;
  if (freeboard_m <= 0 || levelRate_ms <= steady_ms) return null;
  return `Rising as now, it reaches the floor in about ${roughDuration(freeboard_m / levelRate_ms)}.`;
}

/** A level that moves less than 1 mm in a minute stands still for a reader. */
const steady_ms = 0.001 / 60;

function unlessUrgent(tone: Tone): Tone {
  return tone === "act" ? "act" : "unknown";
}

function lower(sentence: string): string {
  return sentence.charAt(0).toLowerCase() + sentence.slice(1);
}

function joined(...parts: readonly (string | null)[]): string {
  return parts.filter((part) => part !== null).join(" ");
}
