// The `alarms` group of the site file: who is told, by which channel, in which order.

import * as z from "zod";
import { alarmNames } from "../../../analysis/alarms/alarm.ts";
import type { AlarmsConfig, QuietHours } from "../../alarms/alarms-config.ts";
import type { ChannelKind } from "../../alarms/channels/channel.ts";
import { evenIfIncomplete } from "../cross-check.ts";
import { describeFound } from "../explain-issue.ts";
import { listOfKinds, uniqueNames } from "../of-kinds.ts";
import { quantity } from "../quantity.ts";
import { checkCall, checkChanges, checkOnlyOne, checkReach } from "./alarms-cross-check.ts";

const quietHours = z
  .string()
  .regex(/^([01]\d|2[0-3]):[0-5]\d-([01]\d|2[0-3]):[0-5]\d$/, {
    error: ({ input }) => `expected a span of the day such as 22:00-07:00, found ${describeFound(input)}`,
  })
  .refine((span) => span.slice(0, 5) !== span.slice(6), {
    error: ({ input }) => `expected two different times such as 22:00-07:00, found ${describeFound(input)}`,
  })
  .describe("messages of lower priority than high wait for its end; in the site's time zone");

const contact = z.strictObject({
  name: z.string().trim().min(1).max(40).describe("what `call` and the page call this person"),
  reach: z
    .array(
      z.strictObject({
        by: z.string().min(1).describe("name of a channel"),
        to: z.string().min(1).max(500).describe("address there: a number, an e-mail address"),
      }),
    )
    .min(1)
    .describe("how; the next is tried where one fails"),
  quiet: quietHours.optional(),
  most_an_hour: z
    .int()
    .min(1)
    .max(60)
    .default(6)
    .describe(
      "messages in an hour at most; what comes beyond is joined into one; `high` has as many of its own, then one in ten minutes",
    ),
});

const callStep = z.strictObject({
  contacts: z.array(z.string().min(1)).min(1).describe("names of contacts"),
  after: quantity("duration", { max: "7 d" }).prefault("0 s").describe("unless somebody has acknowledged by then"),
});

const change = z.strictObject({
  priority: z.enum(["high", "medium", "low"]).optional().describe("of its messages"),
  on_delay: quantity("duration", { max: "7 d" }).optional().describe("it must hold for so long before it is told"),
  off_delay: quantity("duration", { max: "7 d" })
    .optional()
    .describe("it must be over for so long before that is told"),
  latching: z.boolean().optional().describe("stays until a person resets it, although it is over"),
  tell: z.boolean().optional().describe("`false`: on the page only"),
});

export function alarmsSchema(kinds: readonly ChannelKind[]) {
  return z
    .strictObject({
      channels: listOfKinds(kinds, "channel").describe(
        "how people are told; each has a `kind` and the keys of that kind",
      ),
      contacts: z.array(contact).superRefine(uniqueNames("contact"), evenIfIncomplete).default([]),
      call: z.array(callStep).default([]).describe("steps; without any, every contact is told at once"),
      call_again: z
        .strictObject({
          after: quantity("duration", { min: "5 min", max: "1 d" })
            .prefault("15 min")
            .describe("from the last step to the next round; each pause is twice the one before"),
          times: z.int().min(0).max(10).default(5).describe("rounds; `0`: nobody is called a second time"),
        })
        .prefault({})
        .describe("while nobody answers an alarm of high priority"),
      change: z.partialRecord(z.enum(alarmNames), change).default({}).describe("what differs from the table of alarms"),
      page_address: z
        .url({
          protocol: /^https?$/,
          error: ({ input }) => `expected an address such as https://basin.example.org, found ${describeFound(input)}`,
        })
        .optional()
        .describe("where contacts reach the page; messages then carry a link that acknowledges"),
      monthly_proof: z.boolean().default(false).describe("on the first of the month each contact is sent a proof"),
      heartbeat: z
        .strictObject({
          url: z
            .url({
              protocol: /^https?$/,
              error: ({ input }) =>
                `expected an address such as https://beat.example.org/basin, found ${describeFound(input)}`,
            })
            .describe("asked by GET while all is well; whoever misses it raises the alarm"),
          every: quantity("duration", { min: "10 s", max: "1 d" }).prefault("5 min").describe("how often"),
        })
        .optional(),
      service: z
        .strictObject({
          last: z.iso
            .date({ error: ({ input }) => `expected a date such as 2026-05-01, found ${describeFound(input)}` })
            .optional()
            .describe("day of the last service, if it is not entered on the page"),
          every: quantity("duration", { min: "7 d", max: "1100 d" })
            .prefault("182 d")
            .describe("half-yearly is common practice, no source"),
        })
        .prefault({}),
      unusual_pause: quantity("duration", { min: "1 h", max: "400 d" })
        .optional()
        .describe("after so long without a run a test is advised; by default learned from the runs"),
      board_battery: z
        .string()
        .min(1)
        .optional()
        .describe("folder of the board's battery under /sys/class/power_supply; by default the first there"),
    })
    .superRefine((alarms, context) => checkOnlyOne(kinds, alarms, context), evenIfIncomplete)
    .superRefine((alarms, context) => checkReach(kinds, alarms, context), evenIfIncomplete)
    .superRefine(checkCall, evenIfIncomplete)
    .superRefine(checkChanges, evenIfIncomplete);
}

type Alarms = z.output<ReturnType<typeof alarmsSchema>>;

export function toAlarmsConfig(alarms: Alarms): AlarmsConfig {
  const { channels, contacts, call, change: changes, heartbeat, service } = alarms;
  return {
    channels,
    contacts: contacts.map(({ name, reach, quiet, most_an_hour }) => ({
      name,
      reach,
      quiet: quiet === undefined ? null : toQuietHours(quiet),
      mostAnHour: most_an_hour,
    })),
    call:
      call.length > 0 || contacts.length === 0
        ? call.map(({ contacts: names, after }) => ({ contacts: names, after_s: after }))
        : [{ contacts: contacts.map(({ name }) => name), after_s: 0 }],
    callAgain: { after_s: alarms.call_again.after, times: alarms.call_again.times },
    changes: Object.fromEntries(
      Object.entries(changes).map(([name, { priority, on_delay, off_delay, latching, tell }]) => [
        name,
        {
          ...(priority !== undefined && { priority }),
          ...(on_delay !== undefined && { onDelay_s: on_delay }),
          ...(off_delay !== undefined && { offDelay_s: off_delay }),
          ...(latching !== undefined && { latching }),
          ...(tell !== undefined && { tell }),
        },
      ]),
    ) as AlarmsConfig["changes"],
    pageAddress: alarms.page_address?.replace(/\/+$/, "") ?? null,
    monthlyProof: alarms.monthly_proof,
    heartbeat: heartbeat === undefined ? null : { url: heartbeat.url, every_s: heartbeat.every },
    service: { last: service.last ?? null, every_s: service.every },
    unusualPause_s: alarms.unusual_pause ?? null,
    boardBattery: alarms.board_battery ?? null,
  };
}

function toQuietHours(text: string): QuietHours {
  const [from = "", to = ""] = text.split("-");
  return { from_min: minutes(from), to_min: minutes(to) };
}

function minutes(clock: string): number {
  const [hour = 0, minute = 0] = clock.split(":").map(Number);
  return hour * 60 + minute;
}
