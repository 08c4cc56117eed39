// Makes one message for a channel of what the outbox has to tell a contact.

import type { AlarmDefinition, AlarmFacts, AlarmName } from "../../analysis/alarms/alarm.ts";
import type { OutgoingMessage } from "./channels/channel.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";
import { isOfAlarm, type MessageRow } from "./outbox/message-row.ts";
import { type Said, say, type Telling, type Voice } from "./words.ts";
import { sayInVain, sayProof, sayUnproven } from "./words-of-ways.ts";

export interface ComposeParts {
  readonly voice: Voice;
  /** Null of an alarm that another version had. */
  definitionOf(name: AlarmName): AlarmDefinition | null;
  /** Page that acknowledges what a message tells of; null where the page has no address. */
  linkTo(message: number): string | null;
  /** What is true now of an occurrence; null: it is over. */
  factsNow(occurrence: string): AlarmFacts | null;
  readonly now_s: () => number;
}

/** What is told later than this tells what is true then. */
const news_s = 30;

/** @param rows by whose first it goes */
export function composeMessage(
  rows: readonly [MessageRow, ...MessageRow[]],
  at: ChannelAtWork,
  to: string,
  parts: ComposeParts,
): OutgoingMessage {
  const [lead] = rows;
  const link = lead.alarm === null ? null : parts.linkTo(lead.id);
  const maybeRepeated = rows.some(({ maybeSent }) => maybeSent) && !at.comparesKeys;
  const code = at.takesReplies ? lead.id : null;
  const said = lead.alarm === null ? saidOfWays(lead, parts) : tellings(rows, parts, { code, maybeRepeated, link });
  return {
    subject: said.subject,
    text: said.text,
    get body() {
      return said.body;
    },
    key: messageKey(lead),
    to,
    priority: lead.priority,
    link,
    maybeRepeated,
    data: {
      message: lead.id,
      site: parts.voice.siteName,
      alarms: rows.map(({ kind, alarm, occurrence, priority, from_s, to_s, facts }) => ({
        ...{ kind, alarm, occurrence, priority, from_s, to_s, facts },
      })),
    },
  };
}

/** The same at each attempt, and of no other message of any board. */
export function messageKey({ origin, id }: MessageRow): string {
  return `${origin}-${id}`;
}

/** The beginning before the end, the cause before its consequences: by when the condition began. */
export function firstCauseFirst(rows: readonly MessageRow[]): MessageRow[] {
  return rows.toSorted((a, b) => (a.from_s ?? a.created_s) - (b.from_s ?? b.created_s) || a.id - b.id);
}

/** Of no alarm, but of the ways to tell of one. */
function saidOfWays({ kind, facts }: MessageRow, { voice }: ComposeParts): Said {
  if (kind === "unproven") return sayUnproven(voice, facts);
  if (kind === "in-vain") return sayInVain(voice, facts);
  return sayProof(voice, kind === "test" ? "test" : "monthly");
}

function tellings(rows: readonly MessageRow[], parts: ComposeParts, how: Parameters<typeof say>[2]): Said {
  const told = withoutRepeats(rows).map((row) => telling(row, parts));
  return say(told as [Telling, ...Telling[]], parts.voice, how);
}

function telling(row: MessageRow, parts: ComposeParts): Telling {
  const { kind, alarm, from_s, to_s, created_s } = row;
  const definition = alarm === null ? null : parts.definitionOf(alarm);
  if (definition === null || !isOfAlarm(kind))
    throw new RangeError(`alarms: a message of kind ${kind} tells of no alarm`);
  return { kind, definition, facts: factsOf(row, parts), from_s: from_s ?? created_s, to_s };
}

/** Who is called later, or reached at last, is told of now: no water that reaches the floor in minutes that are over. */
function factsOf({ kind, occurrence, facts, created_s }: MessageRow, parts: ComposeParts): AlarmFacts {
  if (kind === "over" || parts.now_s() - created_s < news_s) return facts;
  const { to_floor_s: _, to_floor_earliest_s: __, to_floor_latest_s: ___, rise_ms: ____, ...lasting } = facts;
  return parts.factsNow(occurrence) ?? lasting;
}

/**
 * Of several that say the same of one occurrence the last: two steps of the escalation, or twice worse. A further round
 * says nothing beside what has only now got through.
 */
function withoutRepeats(rows: readonly MessageRow[]): MessageRow[] {
  return rows.filter(({ kind, occurrence }, i) => {
    const others = rows.filter((other) => other.occurrence === occurrence && other !== rows[i]);
    if (kind === "again" && others.some((other) => other.kind === "raised" || other.kind === "worse")) return false;
    return !others.some((other) => other.kind === kind && rows.indexOf(other) > i);
  });
}
