// GET /api/alarms: how each alarm stands, who is told, what was sent. POST /api/alarms/act: what a person does about one.
// POST /api/alarms/serviced: basin and pump were serviced, or that was a slip. POST /api/alarms/test: proves a contact's
// channels.

import * as z from "zod";
import { alarmNames } from "../../../analysis/alarms/alarm.ts";
import type { AlarmsAnswer } from "../alarms-types.ts";
import { nobodyCalled } from "../nobody-called.ts";
import { oneLine } from "../one-line.ts";
import type { AlarmDesk, Server, ServerParts } from "../server-parts.ts";
import { BadRequest } from "../validate-request.ts";

const by = z.string().overwrite(oneLine).min(1).max(60).default("the page").describe("who does it");

export const actBody = z.strictObject({
  alarm: z.enum(alarmNames),
  act: z.enum(["acknowledge", "reset", "shelve", "unshelve", "out-of-service", "in-service"]),
  for_s: z.number().positive().optional().describe("of shelve: for so long"),
  by,
  reason: z.string().overwrite(oneLine).max(120).nullable().default(null).describe("of shelve and out-of-service: why"),
});

export const testBody = z.strictObject({
  contact: z.string().min(1).describe("name of the contact"),
  by: z.string().min(1).nullable().default(null).describe("name of one of its channels; null: each of them"),
  asked_by: z.string().overwrite(oneLine).min(1).max(60).nullable().default(null).describe("who wants it"),
});

export const servicedBody = z.strictObject({
  by,
  day: z.iso.date().nullable().default(null).describe("when it was done, as `2026-05-01`; null: today"),
});

export const serviceUndoneBody = z.strictObject({ by, day: z.iso.date().describe("of the entry that was a slip") });

export function addAlarmsRoutes(server: Server, { alarms = null, siteInfo }: ServerParts): void {
  const desk = (): AlarmDesk => {
    if (alarms === null) throw nobodyCalled("alarms", siteInfo);
    return alarms;
  };
  server.get("/api/alarms", async (_request, reply): Promise<AlarmsAnswer> => {
    reply.header("cache-control", "no-store");
    return desk().view();
  });
  server.post("/api/alarms/act", { schema: { body: actBody } }, async ({ body }): Promise<AlarmsAnswer> => {
    act(desk(), body);
    return desk().view();
  });
  server.post("/api/alarms/serviced", { schema: { body: servicedBody } }, async ({ body }): Promise<AlarmsAnswer> => {
    orBadRequest(() => desk().enterService(body.by, body.day));
    return desk().view();
  });
  server.post(
    "/api/alarms/serviced/undo",
    { schema: { body: serviceUndoneBody } },
    async ({ body }): Promise<AlarmsAnswer> => {
      orBadRequest(() => desk().takeBackService(body.by, body.day));
      return desk().view();
    },
  );
  server.post("/api/alarms/test", { schema: { body: testBody } }, async ({ body }): Promise<AlarmsAnswer> => {
    orBadRequest(() => desk().test(body.contact, body.by, body.asked_by));
    return desk().view();
  });
}

function act(at: AlarmDesk, { alarm, act, for_s, by, reason: said }: z.output<typeof actBody>): void {
  const reason = said === "" ? null : said;
  if (act === "acknowledge") at.acknowledge(alarm, by);
  else if (act === "reset") at.reset(alarm, by);
  else if (act === "unshelve") at.unshelve(alarm, by);
  else if (act === "out-of-service" || act === "in-service") at.setInService(alarm, act === "in-service", by, reason);
  else if (for_s === undefined) throw new BadRequest("for_s: expected for how long, found nothing");
  else orBadRequest(() => at.shelve(alarm, for_s, by, reason));
}

function orBadRequest(work: () => void): void {
  try {
    work();
  } catch (error) {
    throw error instanceof RangeError ? new BadRequest(error.message) : error;
  }
}
