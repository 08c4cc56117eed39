// What is known of one basin from what its board published: one small record for each, whatever the board says and
// however long. Time is an argument, by the central clock.

import type { Situation } from "../../analysis/analyzer.ts";
import { type Acknowledgement, readAcknowledgement } from "../publishers/acknowledgement.ts";
import { readShelving, type Shelving, shelveTopic } from "../publishers/shelving.ts";
import type { ToldAlarms, ToldFinding, ToldForwarding, ToldState } from "./board-messages.ts";

export interface Heard {
  situation: Situation | null;
  findings: readonly ToldFinding[];
  /** Null: the board has said nothing of its alarms, which an older one does not. */
  alarms: ToldAlarms | null;
  /** Answers from afar that the board has not taken yet, by the alarm's name. */
  answers: ReadonlyMap<string, Acknowledgement>;
  /** What is to be shelved, or taken off the shelf, and its board has not taken yet. */
  shelvings: ReadonlyMap<string, Shelving>;
  invented: boolean;
  /** When the newest reading came; of a message that the broker had kept, the reading's own time. */
  reading_s: number | null;
  /** What the broker said of the board last, and when that was heard; null: nothing yet. */
  status: "online" | "offline" | null;
  /** How far the times of readings were ahead of the central clock when they came, of the last two. */
  ahead_s: readonly [number | null, number | null];
  /** The same of its own clock; null of a board that does not tell. */
  clockAhead_s: readonly [number | null, number | null];
  /** The starts of boards that spoke last under this name, newest first. */
  runs: readonly string[];
  /** When two of them last spoke by turns. */
  turns_s: number | null;
  /** How its record gets through to the shared database; null: it sends none there, or has not said. */
  forward: ToldForwarding;
}

export function nothingHeard(): Heard {
  return {
    situation: null,
    findings: [],
    alarms: null,
    answers: new Map(),
    shelvings: new Map(),
    invented: false,
    reading_s: null,
    status: null,
    ahead_s: [null, null],
    clockAhead_s: [null, null],
    runs: [],
    turns_s: null,
    forward: null,
  };
}

/** @param kept the broker had it: when it was said is not known */
export function hearState(heard: Heard, told: ToldState, now_s: number, kept: boolean): void {
  const { time_s } = told.situation;
  const isNew = time_s !== null && time_s !== heard.situation?.time_s;
  if (isNew && kept) heard.reading_s = Math.min(now_s, time_s);
  // Said again after a connection came back, it is the reading of before.
  if (isNew && !kept) {
    heard.reading_s = now_s;
    heard.ahead_s = [time_s - now_s, heard.ahead_s[0]];
    heard.clockAhead_s = [told.clock_s === null ? null : told.clock_s - now_s, heard.clockAhead_s[0]];
  }
  if (told.run !== null) hearRun(heard, told.run, now_s);
  heard.situation = told.situation;
  heard.findings = told.findings;
  heard.invented = told.invented;
}

/** Said at once; the state that follows within a second has it too. */
export function hearFinding(heard: Heard, finding: ToldFinding): void {
  const others = heard.findings.filter(({ kind, from_s }) => kind !== finding.kind || from_s !== finding.from_s);
  heard.findings = finding.to_s === null ? [...others, finding].slice(-mostFindings) : others;
}

/** @returns whether it was an answer or a shelving, or one taken back */
export function hearOrder(heard: Heard, topic: string, payload: Buffer): boolean {
  const [what, name = ""] = topic.split("/");
  if (what === shelveTopic) heard.shelvings = withOrder(heard.shelvings, name, readShelving(topic, payload));
  else heard.answers = withOrder(heard.answers, name, readAcknowledgement(topic, payload));
  return payload.length === 0 || (what === shelveTopic ? heard.shelvings : heard.answers).has(name);
}

/** @param order null: taken back, or none */
function withOrder<Order>(
  before: ReadonlyMap<string, Order>,
  name: string,
  order: Order | null,
): ReadonlyMap<string, Order> {
  const after = new Map(before);
  if (order === null) after.delete(name);
  else after.set(name, order);
  return after;
}

const mostFindings = 50;
/** More than a board that keeps being started anew brings about while two speak by turns. */
const rememberedRuns = 4;

// A board that is started anew speaks under a new run and never again under the one before.
function hearRun(heard: Heard, run: string, now_s: number): void {
  if (heard.runs[0] === run) return;
  if (heard.runs.includes(run)) heard.turns_s = now_s;
  heard.runs = [run, ...heard.runs.filter((other) => other !== run)].slice(0, rememberedRuns);
}
