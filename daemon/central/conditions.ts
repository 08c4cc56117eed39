// What is true of one basin now, most urgent first: what its board says, and what the board cannot say of itself (that it
// is silent, that its clock is wrong, that another one goes by its name). Pure.

import type { AlarmName } from "../../analysis/alarms/alarm.ts";
import { morningOf } from "../alarms/care/service-due.ts";
import type { Condition } from "./central-types.ts";
import type { EnrolledBasin } from "./config/central-file.ts";
import type { Heard } from "./heard.ts";
import { placeOf } from "./urgency.ts";

export interface JudgedAt {
  readonly now_s: number;
  /** Of the view: a day begins there, and ends, by its clock. */
  readonly timezone: string;
  /** Since when the broker has been heard; null while it is not, and then no basin is called silent for it. */
  readonly hearing_s: number | null;
}

/** After the connection has come about: time for boards to be heard, before one of them is called silent. */
export const hearFirst_s = 20;
/** A clock ahead by more than this is wrong: no reading is of the future. */
const mostAhead_s = 60;
/** Behind by more than this it is wrong, or readings come late: it is to be looked at in both cases. */
const mostBehind_s = 300;
/** A database may be away for so long before a person is told; without a word of a fault, twice the longest `every`. */
const mostBehindRecord_s = 900;
const mostQuiet_s = 7200;
/** More than is ever true at once, and longer than our findings' words: no basin's line pushes the others off the page. */
const mostConditions = 16;
const longestAdvice = 400;
/** Two boards of one name are talked of for so long after they last spoke by turns. */
const turnsCount_s = 3600;

export function conditionsOf(
  heard: Heard,
  basin: EnrolledBasin | null,
  silentAfter_s: number,
  at: JudgedAt,
): Condition[] {
  const off_s = clockOff_s(heard);
  const silent = silence(heard, basin, silentAfter_s, at);
  const found = [
    ...heard.findings.map((finding) =>
      condition(kindOf(finding), centralTime_s(finding.from_s, heard, off_s), finding.message, finding.severity),
    ),
    ...ofAlarms(heard, off_s),
    ...silent,
    ...(heard.turns_s !== null && at.now_s - heard.turns_s < turnsCount_s
      ? [condition("two-boards", heard.turns_s)]
      : []),
    ...(off_s !== null ? [condition("clock-wrong", null)] : []),
    ...readingsLate(heard, silent.length > 0),
    ...recordBehind(heard, off_s, silent.length > 0, at),
    ...(basin === null ? [condition("not-enrolled", null)] : []),
    ...serviceDue(heard, basin, at),
  ];
  if (found.length === 0) return [condition("well", null)];
  return found.sort((a, b) => a.rank - b.rank || (a.since_s ?? 0) - (b.since_s ?? 0)).slice(0, mostConditions);
}

/** What is known of a board's clock; of one that does not tell it, its readings' times say as much. */
export type TimeTold = Pick<Heard, "ahead_s" | "clockAhead_s" | "invented">;

/** By how much the board's clock is ahead, to the minute; null while that is no matter. */
export function clockOff_s({ ahead_s, clockAhead_s, invented }: TimeTold): number | null {
  if (invented) return null;
  return off_s(clockAhead_s[0] === null ? ahead_s : clockAhead_s);
}

function off_s([last, before]: Heard["ahead_s"]): number | null {
  if (last === null || before === null || !isOff(last) || !isOff(before)) return null;
  return toMinute(Math.abs(last) < Math.abs(before) ? last : before);
}

/** Those of before that a source brings now, by a clock that is right; a board that does not tell it may be slow instead. */
function readingsLate({ ahead_s, clockAhead_s, invented }: Heard, isSilent: boolean): Condition[] {
  if (invented || isSilent) return [];
  const late = ahead_s.map((ahead, i) => (ahead === null || clockAhead_s[i] == null ? null : ahead - clockAhead_s[i]));
  const by_s = off_s([late[0] ?? null, late[1] ?? null]);
  return by_s === null || by_s > 0 ? [] : [condition("readings-late", null)];
}

function isOff(ahead_s: number): boolean {
  return ahead_s > mostAhead_s || ahead_s < -mostBehind_s;
}

/** A time of the board's as the central clock would have it; an invented basin's runs at a pace of its own. */
export function centralTime_s(time_s: number, heard: TimeTold, off_s = clockOff_s(heard)): number {
  return time_s - boardAhead_s(heard, off_s);
}

/** The same the other way. */
export function boardTime_s(time_s: number, heard: TimeTold): number {
  return time_s + boardAhead_s(heard, clockOff_s(heard));
}

function boardAhead_s({ invented, ahead_s, clockAhead_s }: TimeTold, off_s: number | null): number {
  return invented ? toMinute(clockAhead_s[0] ?? ahead_s[0] ?? 0) : (off_s ?? 0);
}

/** Of two pumps one: the other has to do its work, and nobody has to be there within the hour. */
function kindOf({ kind, evidence }: Heard["findings"][number]): string {
  return kind === "float-stuck-off" && typeof evidence.pump === "number" ? "one-pump-out" : kind;
}

/** What is no finding of the analysis, and only the board's alarms tell. */
const onlyAlarms: ReadonlySet<string> = new Set<AlarmName>([
  "board-battery-low",
  "much-for-dry-weather",
  "nothing-pumped",
]);

function ofAlarms(heard: Heard, off_s: number | null): Condition[] {
  return (heard.alarms?.alarms ?? [])
    .filter(({ name, to_s }) => to_s === null && onlyAlarms.has(name))
    .map(({ name, from_s, whatToDo }) => condition(name, centralTime_s(from_s, heard, off_s), whatToDo));
}

function toMinute(span_s: number): number {
  return 60 * Math.round(span_s / 60);
}

/** Silent, or, while the central view itself has not listened for long, not heard yet. */
function silence({ reading_s }: Heard, basin: EnrolledBasin | null, silentAfter_s: number, at: JudgedAt): Condition[] {
  // Of a board that was never heard, and that nobody enrolled, no more is known than that something goes by its name.
  const isHeard = reading_s === null ? basin === null : at.now_s - reading_s <= silentAfter_s;
  if (isHeard) return [];
  const listened = at.hearing_s !== null && at.now_s - at.hearing_s >= hearFirst_s;
  return [condition(listened ? "silent" : "not-heard-yet", reading_s)];
}

/** What a silent board said of its record is of before. */
function recordBehind(heard: Heard, off_s: number | null, isSilent: boolean, { now_s }: JudgedAt): Condition[] {
  const { forward, invented } = heard;
  if (forward === null || forward.oldest_s === null || forward.state === "sending" || isSilent || invented) return [];
  const since_s = centralTime_s(forward.oldest_s, heard, off_s);
  const allowed_s = forward.state === "current" ? mostQuiet_s : mostBehindRecord_s;
  return now_s - since_s <= allowed_s ? [] : [condition("record-behind", since_s, forward.error)];
}

/** When the next service is due: by the board, at which it is entered; where that knows of none, by the view's own file. */
export function serviceDue_s({ alarms }: Heard, basin: EnrolledBasin | null, timezone: string): number | null {
  const atBoard = alarms?.service ?? null;
  return atBoard === null ? (basin?.serviceDue_s ?? null) : morningOf(atBoard.due, timezone);
}

function serviceDue(heard: Heard, basin: EnrolledBasin | null, { now_s, timezone }: JudgedAt): Condition[] {
  const due_s = serviceDue_s(heard, basin, timezone);
  if (basin === null || due_s === null || due_s > now_s) return [];
  return [condition("service-due", due_s, heard.alarms?.service == null ? null : enterThere)];
}

const enterThere = "Plan a visit; when it is done, enter it on the board's own page, under Alarms.";

function condition(
  kind: string,
  since_s: number | null,
  advice: string | null = null,
  severity: Parameters<typeof placeOf>[1] = "warning",
): Condition {
  const short = advice !== null && advice.length > longestAdvice ? `${advice.slice(0, longestAdvice)}…` : advice;
  return { kind, ...placeOf(kind, severity), since_s, advice: short };
}
