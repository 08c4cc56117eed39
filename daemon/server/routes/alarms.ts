// GET /api/alarms: how each alarm stands, who is told, what was sent. POST /api/alarms/act: what a person does about one.
// POST /api/alarms/serviced: basin and pump were serviced today. POST /api/alarms/test: proves a contact's channels.

import * as z from "zod";
import { alarmNames } from "../../../analysis/alarms/alarm.ts";
import type { AlarmsAnswer } from "../alarms-types.ts";
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

export const servicedBody = z.strictObject({ by });

export function addAlarmsRoutes(server: Server, { alarms = null }: ServerParts): void {
  server.get("/api/alarms", async (_request, reply): Promise<AlarmsAnswer> => {
    reply.header("cache-control", "no-store");
    return desk(alarms).view();
  });
  server.post("/api/alarms/act", { schema: { body: actBody } }, async ({ body }): Promise<AlarmsAnswer> => {
    act(desk(alarms), body);
    return desk(alarms).view();
  });
  server.post("/api/alarms/serviced", { schema: { body: servicedBody } }, async ({ body }): Promise<AlarmsAnswer> => {
    desk(alarms).enterService(body.by);
    return desk(alarms).view();
  });
  server.post("/api/alarms/test", { schema: { body: testBody } }, async ({ body }): Promise<AlarmsAnswer> => {
    try {
      desk(alarms).test(body.contact, body.by, body.asked_by);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw new BadRequest(error.message);
    }
    return desk(alarms).view();
  });
}

function act(at: AlarmDesk, { alarm, act, for_s, by, reason: said }: z.output<typeof actBody>): void {
  const reason = said === "" ? null : said;
  if (act === "acknowledge") at.acknowledge(alarm, by);
  else if (act === "reset") at.reset(alarm, by);
  else if (act === "unshelve") at.unshelve(alarm, by);
  else if (act === "out-of-service" || act === "in-service") at.setInService(alarm, act === "in-service", by, reason);
  else if (for_s === undefined) throw new BadRequest("for_s: expected for how long, found nothing");
  else {
    try {
      at.shelve(alarm, for_s, by, reason);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw new BadRequest(error.message);
    }
  }
}

function desk(alarms: AlarmDesk | null): AlarmDesk {
  if (alarms === null) throw new BadRequest("alarms: nobody is called for what is played, or from here", 409);
  return alarms;
}
