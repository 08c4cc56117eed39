// What the API answers about alarms, as zod schemas.

import * as z from "zod";
import { alarmNames } from "../../../analysis/alarms/alarm.ts";
import { journalKinds } from "../../alarms/outbox/journal-entry.ts";
import { messageKinds } from "../../alarms/outbox/message-row.ts";
import type { AlarmsAnswer } from "../alarms-types.ts";
import { number, time_s } from "./schema-parts.ts";

const priority = z.enum(["high", "medium", "low"]);
const alarmState = z
  .enum([
    "normal",
    "unacknowledged",
    "acknowledged",
    "returned-to-normal-unacknowledged",
    "latched-unacknowledged",
    "latched-acknowledged",
    "shelved",
    "suppressed-by-design",
    "out-of-service",
  ])
  .describe("as ANSI/ISA-18.2 names it");
const alarmName = z.enum(alarmNames);
const setAside = z.strictObject({ by: z.string(), at_s: time_s, reason: z.string().nullable() }).nullable();

export const activeAlarm = z.strictObject({
  name: alarmName,
  title: z.string(),
  priority,
  whatToDo: z.string(),
  state: alarmState,
  from_s: time_s,
  to_s: number.describe("null while it lasts"),
  acknowledgedBy: z.string().nullable(),
});

export const alarmAside = z.strictObject({
  name: alarmName,
  title: z.string(),
  until_s: number.describe("of one that is shelved; null: out of service until somebody puts it back"),
  since_s: number,
  by: z.string().nullable(),
  reason: z.string().nullable(),
});

export const alarmDeed = z.strictObject({
  at_s: time_s,
  kind: z.enum([...journalKinds, "tested"]),
  alarm: alarmName.nullable().describe("null of a test"),
  title: z.string().nullable(),
  by: z.string().nullable().describe("who; null: nobody, or nobody has said"),
  via: z
    .string()
    .nullable()
    .describe("page, link of a message, afar by the broker, or channel and its name; of a test its channels"),
  reason: z.string().nullable().describe("of a service its day"),
  until_s: number.describe("of shelving"),
  contact: z.string().nullable().describe("of a test: to whom"),
});

export const alarmTrouble = z.strictObject({
  unreached: z.array(z.string()).describe("contacts whom no channel reaches now"),
  channels: z.array(z.strictObject({ name: z.string(), problem: z.string() })),
  undelivered: z.int().describe("messages about alarms, of the last day, that were given up or keep failing"),
  cardProblem: z.string().nullable(),
  heartbeatProblem: z.string().nullable(),
});

export const alarmsAnswer = z.strictObject({
  now_s: time_s,
  alarms: z.array(
    z.strictObject({
      name: alarmName,
      title: z.string(),
      priority,
      rationale: z.string(),
      cause: z.string(),
      consequence: z.string(),
      whatToDo: z.string(),
      respondWithin_s: z.number(),
      onDelay_s: z.number(),
      offDelay_s: z.number(),
      latching: z.boolean(),
      state: alarmState,
      from_s: number,
      to_s: number,
      acknowledged: z.strictObject({ by: z.string(), at_s: time_s }).nullable(),
      shelvedUntil_s: number,
      shelved: setAside.describe("who has shelved it, and why"),
      takenOut: setAside.describe("who has taken it out of service, and why"),
      longestShelf_s: z.number().describe("so long at most may it be shelved"),
      told: z.boolean().describe("whether people are told of it"),
      chattering: z.boolean(),
      stale: z.boolean(),
      history: z.array(alarmDeed).describe("what became of it in the last 30 days, newest first: the latest few"),
    }),
  ),
  contacts: z.array(
    z.strictObject({
      name: z.string(),
      quiet: z.strictObject({ from_min: z.number(), to_min: z.number() }).nullable().describe("minutes after midnight"),
      ways: z.array(
        z.strictObject({
          by: z.string().describe("channel"),
          to: z.string().describe("address, shortened"),
          proven_s: number.describe("when a message last went through"),
          failed: z
            .strictObject({ at_s: time_s, reason: z.string().nullable() })
            .nullable()
            .describe("the last test or proof, where it did not get through and nothing has since"),
          problem: z.string().nullable(),
          note: z.string().nullable(),
        }),
      ),
    }),
  ),
  call: z.array(z.strictObject({ contacts: z.array(z.string()).readonly(), after_s: z.number() })),
  callAgain: z
    .strictObject({ after_s: z.number(), times: z.int() })
    .describe("while nobody answers what is of high priority; each pause is twice the one before"),
  cardProblem: z.string().nullable().describe("why messages cannot be kept on the card"),
  heartbeat: z
    .strictObject({ host: z.string(), every_s: z.number(), answered_s: number, problem: z.string().nullable() })
    .nullable()
    .describe("what is told that the board lives; null where nothing is"),
  service: z
    .strictObject({
      last: z.string().nullable().describe("day of the last; null: none is known"),
      entered: z.boolean().describe("it was entered, and can be taken back; else it stands in the site file"),
      by: z.string().nullable(),
      due: z.string().nullable().describe("day of the next; null: none is known"),
      due_s: number,
      today: z.string().describe("the day there: a later one cannot be entered"),
    })
    .describe("when basin and pump were last serviced, and are again due"),
  messages: z.array(
    z.strictObject({
      id: z.int().describe("what a reply OK with this number acknowledges"),
      kind: z.enum(messageKinds),
      alarm: alarmName.nullable(),
      contact: z.string(),
      onlyBy: z.string().nullable().describe("of a test: the channel that is tried"),
      priority,
      state: z.enum(["waiting", "sending", "sent", "expired", "called-off", "refused"]),
      due_s: time_s,
      next_s: time_s,
      sent_s: number,
      sentBy: z.string().nullable(),
      delivered_s: number,
      tries: z.int(),
      maybeSent: z.boolean(),
      joinedTo: number,
      reason: z.string().nullable(),
    }),
  ),
  aside: z.array(alarmAside).describe("what is shelved or out of service"),
  done: z.array(alarmDeed).describe("what people did in the last 30 days, newest first"),
  performance: z
    .strictObject({
      span_s: z.number(),
      count: z.int(),
      perDay: z.number(),
      per10min: z.number(),
      mostIn10min: z.int(),
      shareOver10: z.number(),
      shareInFlood: z.number(),
      mostFrequent: z.array(z.strictObject({ alarm: alarmName, count: z.int(), share: z.number() })),
      chattering: z.array(alarmName),
      mostStale: z.int().describe("the most that had stood for more than a day at once"),
      split: z.strictObject({ high: z.number(), medium: z.number(), low: z.number() }),
    })
    .describe("the figures of alarm management over the last 30 days"),
}) satisfies z.ZodType<AlarmsAnswer>;
