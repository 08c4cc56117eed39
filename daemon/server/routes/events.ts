// GET /api/events: server-sent events `state`, `cycle` and `finding`, as long as the client stays.

import type { Server, ServerParts } from "../server-parts.ts";
import { BadRequest } from "../validate-request.ts";

export function addEventsRoute(server: Server, { feed }: ServerParts): void {
  server.get("/api/events", { exposeHeadRoute: false }, (_request, reply) => {
    const headers: Record<string, string | number> = {};
    for (const [name, value] of Object.entries(reply.getHeaders())) {
      if (typeof value === "string" || typeof value === "number") headers[name] = value;
    }
    if (!feed.attach(reply.raw, headers)) {
      throw new BadRequest("events: as many pages listen as this board can serve; close one of them", 503);
    }
    reply.hijack();
  });
}
