// /api/phones: which phones are told by their browsers' push services, and taking one up or off the list. The page asks, and
// the service worker that stands behind it on the phone.

import type { FastifyRequest } from "fastify";
import * as z from "zod";
import { nobodyCalled } from "../nobody-called.ts";
import { oneLine } from "../one-line.ts";
import type { PhonesAnswer, ShownAnswer } from "../phones-types.ts";
import type { PhoneDesk, Server, ServerParts } from "../server-parts.ts";
import { BadRequest } from "../validate-request.ts";

const subscription = z
  .looseObject({
    endpoint: z.string().max(1000).describe("address at the push service"),
    keys: z.object({ p256dh: z.string().max(100), auth: z.string().max(40) }),
  })
  .describe("as the browser gives it (PushSubscription.toJSON)");
const phoneId = z.string().max(40).describe("its `id`");

export const addPhoneBody = z.strictObject({
  person: z.string().min(1).max(60).describe("who is told by it"),
  name: z.string().overwrite(oneLine).min(1).max(40).describe("what the phone is called"),
  subscription,
});
export const renewPhoneBody = z.strictObject({
  replaces: z.string().max(1000).describe("`endpoint` of its subscription before"),
  subscription,
});
export const removePhoneBody = z.strictObject({ phone: phoneId });
export const testPhonesBody = z.strictObject({ person: z.string().min(1).max(60).describe("whose phones") });
export const shownBody = z.strictObject({ phone: phoneId, key: z.string().max(80).describe("of the message") });

export function addPhonesRoutes(server: Server, { alarms = null, siteInfo }: ServerParts): void {
  addPhonesRoutesFor(server, () => {
    if (alarms?.phones === undefined) throw nobodyCalled("phones", siteInfo);
    return alarms.phones;
  });
}

/** @param desk the list that the one who asks may see; it may throw what is answered */
export function addPhonesRoutesFor(server: Server, desk: (request: FastifyRequest) => PhoneDesk): void {
  server.get("/api/phones", async (request, reply): Promise<PhonesAnswer> => {
    reply.header("cache-control", "no-store");
    return desk(request).view();
  });
  server.post("/api/phones", { schema: { body: addPhoneBody } }, async (request): Promise<PhonesAnswer> => {
    const { person, name, subscription: its } = request.body;
    return said(() => desk(request).add(person, name, its));
  });
  server.post("/api/phones/renew", { schema: { body: renewPhoneBody } }, async (request): Promise<PhonesAnswer> => {
    return said(() => desk(request).renew(request.body.replaces, request.body.subscription));
  });
  server.post("/api/phones/remove", { schema: { body: removePhoneBody } }, async (request): Promise<PhonesAnswer> => {
    return said(() => desk(request).remove(request.body.phone));
  });
  server.post("/api/phones/test", { schema: { body: testPhonesBody } }, async (request): Promise<PhonesAnswer> => {
    return said(() => desk(request).test(request.body.person));
  });
  server.post("/api/phones/shown", { schema: { body: shownBody } }, async (request): Promise<ShownAnswer> => {
    return { known: said(() => desk(request).shown(request.body.phone, request.body.key)) };
  });
}

/** What is wrong with the request, and a card that takes nothing, in words. */
function said<Answer>(ask: () => Answer): Answer {
  try {
    return ask();
  } catch (error) {
    if (error instanceof RangeError) throw new BadRequest(error.message);
    if (error instanceof Error && "syscall" in error)
      throw new BadRequest(`phones: the list cannot be kept: ${error.message}`, 503);
    throw error;
  }
}
